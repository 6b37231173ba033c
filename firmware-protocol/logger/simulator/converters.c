/* converters.c: three thermocouple converters on the SPI bus, two of the kind
 * with registers and one of the kind with one word, with their timing and fault
 * bits. Registers, words, formulas, the look for an open probe once in 16
 * conversions: the makers' data sheets. Conversion times of the first kind (98 ms,
 * the first one 169 ms, with the 50 Hz filter) and that a read begins the
 * second kind's conversion anew: from memory, the worse case taken.
 */
#include <math.h>
#include <string.h>

#include <simavr/avr_ioport.h>

#include "bench.h"

#define SPCR 0x4C
#define SPSR 0x4D
#define SPDR 0x4E
#define SPIF 0x80

#define MS(x) ((avr_cycle_count_t)((x) * (HZ / 1000)))
#define FIRST_MS 169
#define NEXT_MS 98
#define LINEAR_MS 100
#define OPEN_EVERY 16

typedef struct {
	int direct;   /* registers; otherwise one word */
	int pin;      /* of port B */
	int selected;
	unsigned at;  /* bytes since it was selected */
	uint8_t address;
	uint8_t reg[16];
	uint32_t word;
	avr_cycle_count_t done;
	unsigned conversions;
} chip;

static chip chips[PROBES] = {{.direct = 1, .pin = 2}, {.direct = 1, .pin = 1}, {.direct = 0, .pin = 0}};
static bench *the;
static uint8_t incoming;

/* What the junctions make, V. */
static double emf_v(int i)
{
	if (the->ill.probe[i] == PROBE_SHORT)
		return 0;
	return (type_k_mv(the->now.probe_c[i]) - type_k_mv(the->now.junction_c)) * 1e-3;
}

static void power_up(chip *c)
{
	static const uint8_t fresh[16] = {0x00, 0x03, 0xFF, 0x7F, 0xC0, 0x7F, 0xFF, 0x80};
	memcpy(c->reg, fresh, sizeof fresh);
	c->word = 0;
	c->conversions = 0;
	c->done = the->avr->cycle + MS(200);
}

/* ---- the kind with registers ---- */

static void put_code(chip *c, int32_t code)
{
	uint32_t u = ((uint32_t)code & 0x7FFFFu) << 5;
	c->reg[0x0C] = (uint8_t)(u >> 16);
	c->reg[0x0D] = (uint8_t)(u >> 8);
	c->reg[0x0E] = (uint8_t)u;
}

static void convert_direct(chip *c, int i)
{
	int mode = c->reg[1] & 0x0F, open = the->ill.probe[i] == PROBE_OPEN;
	double gain = (mode & 0x0C) == 0x0C ? 32 : 8;
	double code = floor(gain * 1.6 * 131072 * emf_v(i) + 0.5);
	int16_t cold = (int16_t)(floor(the->now.junction_c * 64 + 0.5) * 4);
	uint8_t fault = 0;
	c->conversions++;
	c->reg[0x0A] = (uint8_t)((uint16_t)cold >> 8);
	c->reg[0x0B] = (uint8_t)cold;
	if (!(mode & 0x08)) /* not the voltage, but a temperature: 1/128 degree */
		code = floor(the->now.probe_c[i] * 128 + 0.5);
	if (open || code > 131071) { /* the resistor pulls it up */
		code = 131071;
		fault |= 0x40;
	}
	if (code < -131072) {
		code = -131072;
		fault |= 0x40;
	}
	if (open && (c->reg[0] & 0x30) && ((c->reg[0x0F] & 1) || c->conversions % OPEN_EVERY == 0))
		fault |= 0x01;
	put_code(c, (int32_t)code);
	c->reg[0x0F] = fault;
}

static uint8_t swap_direct(chip *c, uint8_t in)
{
	uint8_t out = 0;
	if (c->at++ == 0) {
		c->address = in;
		return 0;
	}
	out = c->reg[c->address & 0x0F];
	if (c->address & 0x80) {
		unsigned r = c->address & 0x0Fu;
		if (r < 0x0C)
			c->reg[r] = in;
		if (r == 0 && (in & 0x80))
			c->done = the->avr->cycle + MS(FIRST_MS);
	}
	c->address = (uint8_t)((c->address & 0x80) | ((c->address + 1) & 0x0F));
	return out;
}

/* ---- the kind with one word ---- */

static void convert_linear(chip *c, int i)
{
	double cold = floor(the->now.junction_c * 16 + 0.5) / 16;
	double line = emf_v(i) / 41.276e-6 + cold;
	int32_t t14 = (int32_t)floor(line * 4 + 0.5), t12 = (int32_t)(cold * 16);
	uint32_t fault = 0;
	if (the->ill.probe[i] == PROBE_OPEN) {
		fault = 0x00010001u;
		t14 = 0x1FFF;
	} else if (the->ill.probe[i] == PROBE_SHORT) {
		fault = 0x00010002u;
	}
	c->word = ((uint32_t)t14 & 0x3FFFu) << 18 | ((uint32_t)t12 & 0xFFFu) << 4 | fault;
}

static uint8_t swap_linear(chip *c)
{
	uint8_t out = c->at < 4 ? (uint8_t)(c->word >> (24 - 8 * c->at)) : 0;
	c->at++;
	return out;
}

/* ---- the bus ---- */

static uint8_t swapped(uint8_t in)
{
	int phase = the->avr->data[SPCR] & 0x04, i;
	uint8_t out = 0xFF; /* nobody drives the line: the pull-up */
	for (i = 0; i < PROBES; i++) {
		chip *c = &chips[i];
		if (!c->selected || the->ill.silent[i])
			continue;
		out &= c->direct ? swap_direct(c, in) : swap_linear(c);
		if ((phase != 0) != c->direct) /* clocked at the wrong edge: a bit off */
			out = (uint8_t)(out << 1);
	}
	return the->ill.stuck == 1 ? 0x00 : the->ill.stuck == 2 ? 0xFF : out;
}

static avr_cycle_count_t byte_done(avr_t *avr, avr_cycle_count_t when, void *param)
{
	(void)when;
	(void)param;
	avr->data[SPSR] |= SPIF;
	return 0;
}

/* The library's own SPI takes 100 us a byte whatever the clock: this one takes
 * eight clocks. */
static void write_data(avr_t *avr, avr_io_addr_t addr, uint8_t v, void *param)
{
	static const unsigned divider[4] = {4, 16, 64, 128};
	unsigned d = divider[avr->data[SPCR] & 3];
	(void)param;
	if (avr->data[SPSR] & 1)
		d /= 2;
	avr->data[addr] = v;
	avr->data[SPSR] &= (uint8_t)~SPIF;
	if ((avr->data[SPCR] & 0x50) != 0x50) /* not on, or not the master */
		return;
	incoming = swapped(v);
	avr_cycle_timer_register(avr, 8 * d, byte_done, NULL);
}

static uint8_t read_data(avr_t *avr, avr_io_addr_t addr, void *param)
{
	(void)addr;
	(void)param;
	avr->data[SPSR] &= (uint8_t)~SPIF;
	return incoming;
}

static void select_changed(struct avr_irq_t *irq, uint32_t value, void *param)
{
	chip *c = param;
	(void)irq;
	converters_tick(the);
	if (value == 0 && !c->selected)
		c->at = 0;
	if (!c->direct && c->selected && value)
		c->done = the->avr->cycle + MS(LINEAR_MS); /* begins anew */
	c->selected = value == 0;
}

void converters_tick(bench *b)
{
	int i;
	for (i = 0; i < PROBES; i++) {
		chip *c = &chips[i];
		if (b->avr->cycle < c->done)
			continue;
		if (!c->direct && !c->selected) {
			convert_linear(c, i);
			c->done = b->avr->cycle + MS(LINEAR_MS);
		} else if (c->direct && (c->reg[0] & 0x80)) {
			convert_direct(c, i);
			c->done += MS(NEXT_MS);
			if (c->done < b->avr->cycle)
				c->done = b->avr->cycle + MS(NEXT_MS);
		}
	}
}

void converters_supply_lost(bench *b)
{
	int i;
	(void)b;
	for (i = 0; i < PROBES; i++)
		power_up(&chips[i]);
}

void converters_attach(bench *b)
{
	avr_t *avr = b->avr;
	int i;
	the = b;
	avr->io[AVR_DATA_TO_IO(SPDR)].w.c = write_data;
	avr->io[AVR_DATA_TO_IO(SPDR)].r.c = read_data;
	for (i = 0; i < PROBES; i++) {
		power_up(&chips[i]);
		avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), chips[i].pin),
		                        select_changed, &chips[i]);
	}
}
