/* thermometer.c: an LM75-compatible thermometer of 12 bits at address 0x48, and
 * the controller's I2C master in front of it, as far as the firmware uses it:
 * the library's own does not pass through the states of the data sheet when it
 * is polled. States: the controller's data sheet, as in <util/twi.h>.
 */
#include <math.h>
#include <stddef.h>

#include "bench.h"

#define ADDRESS 0x48
#define TWBR 0xB8
#define TWSR 0xB9
#define TWDR 0xBB
#define TWCR 0xBC
#define INT 0x80
#define ACK 0x40
#define START 0x20
#define STOP 0x10
#define ENABLE 0x04

static bench *the;
static enum { IDLE, STARTED, WRITING, READING } bus;
static uint8_t coming; /* the status, once the bits have passed */
static unsigned at;

static avr_cycle_count_t passed(avr_t *avr, avr_cycle_count_t when, void *param)
{
	(void)when;
	(void)param;
	avr->data[TWSR] = coming;
	avr->data[TWCR] |= INT;
	return 0;
}

static uint8_t addressed(uint8_t byte)
{
	int there = byte >> 1 == ADDRESS && !the->ill.ambient_gone;
	bus = byte & 1 ? READING : WRITING;
	at = 0;
	return byte & 1 ? (there ? 0x40 : 0x48) : (there ? 0x18 : 0x20);
}

static uint8_t turn(avr_t *avr, uint8_t control)
{
	uint16_t t = (uint16_t)(int16_t)(floor(the->now.ambient_c * 16 + 0.5) * 16);
	if (control & START) {
		uint8_t s = bus == IDLE ? 0x08 : 0x10;
		bus = STARTED;
		return s;
	}
	switch (bus) {
	case STARTED:
		return addressed(avr->data[TWDR]);
	case WRITING:
		return 0x28;
	case READING:
		avr->data[TWDR] = (uint8_t)(at++ % 2 == 0 ? t >> 8 : t);
		return control & ACK ? 0x50 : 0x58;
	default:
		return 0xF8;
	}
}

static void control(avr_t *avr, avr_io_addr_t addr, uint8_t v, void *param)
{
	unsigned bit = 16u + 2u * avr->data[TWBR];
	(void)param;
	avr->data[addr] = (uint8_t)(v & ~(INT | STOP));
	if (!(v & ENABLE) || (v & STOP)) {
		bus = IDLE;
		avr->data[TWSR] = 0xF8;
		return;
	}
	if (!(v & INT))
		return;
	if (the->ill.bus_stuck)
		return; /* somebody holds the clock: it never ends */
	coming = turn(avr, v);
	avr_cycle_timer_register(avr, bit * (v & START ? 1u : 9u), passed, NULL);
}

void thermometer_attach(bench *b)
{
	the = b;
	b->avr->io[AVR_DATA_TO_IO(TWCR)].w.c = control;
	b->avr->io[AVR_DATA_TO_IO(TWDR)].w.c = NULL;
}
