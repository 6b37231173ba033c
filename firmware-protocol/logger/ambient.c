/* ambient.c: see ambient.h. Register 0 holds the temperature, left-aligned in 16
 * bits with the sign, 1/256 degree; unused low bits are 0, so that sensors of 9
 * to 13 bits are read alike. */
#include <avr/io.h>
#include <util/twi.h>

#include "ambient.h"
#include "fillwire.h"

#define ADDRESS 0x48u
#define TURNS_MOST 400u /* some 200 us: two bytes at 100 kHz */

void ambient_start(void)
{
	PORTC |= (uint8_t)(1u << PC4 | 1u << PC5); /* weak pull-ups beside the real ones */
	TWSR = 0;
	TWBR = 72; /* 100 kHz = 16 MHz / (16 + 2 * 72) */
}

/* Does one step of the bus; 1 when it ended with this status. A bus that is
 * held by somebody must not hold the logger. */
static uint8_t step(uint8_t control, uint8_t status)
{
	uint16_t turns = TURNS_MOST;
	TWCR = (uint8_t)(1u << TWINT | 1u << TWEN | control);
	while (!(TWCR & (1u << TWINT)))
		if (turns-- == 0)
			return 0;
	return TW_STATUS == status;
}

static uint8_t send(uint8_t byte, uint8_t status)
{
	TWDR = byte;
	return step(0, status);
}

static uint8_t fetch(uint8_t got[2])
{
	if (!step(1u << TWSTA, TW_START) || !send(ADDRESS << 1 | TW_WRITE, TW_MT_SLA_ACK) ||
	    !send(0, TW_MT_DATA_ACK))
		return 0;
	if (!step(1u << TWSTA, TW_REP_START) || !send(ADDRESS << 1 | TW_READ, TW_MR_SLA_ACK))
		return 0;
	if (!step(1u << TWEA, TW_MR_DATA_ACK))
		return 0;
	got[0] = TWDR;
	if (!step(0, TW_MR_DATA_NACK))
		return 0;
	got[1] = TWDR;
	return 1;
}

int32_t ambient_mc(void)
{
	uint8_t got[2];
	uint8_t ok = fetch(got);
	int32_t step256;
	TWCR = (uint8_t)(1u << TWINT | 1u << TWEN | 1u << TWSTO);
	if (!ok) {
		TWCR = 0; /* gives the bus up, so that the next try begins anew */
		return FW_VALUE_MISSING;
	}
	step256 = (int32_t)((uint16_t)got[0] << 8 | got[1]);
	if (step256 >= 0x8000L)
		step256 -= 0x10000L;
	return step256 * 125 / 32;
}
