/* tc_linear.c: thermocouple converters that send one word, of the MAX31855K
 * kind. Word and fault bits: the maker's data sheet, tables 2 to 5.
 *
 * The chip measures V and sends T = V / (41.276 uV/K) + T_junction (data sheet,
 * "Temperature Conversion"), as if type K were a straight line: degrees off at
 * 100 degrees. The host has the exact function, so the line is undone here:
 * V = 41.276 uV/K * (T - T_junction). One step of T is 0.25 K, 10.3 uV.
 */
#include "fillwire.h"
#include "spi.h"
#include "thermocouple.h"

#define BIT_FAULT 0x00010000UL
#define BITS_ZERO 0x00020008UL /* always 0 */
#define BIT_TO_SUPPLY 0x4u
#define BIT_TO_GROUND 0x2u
#define BIT_OPEN 0x1u

/* Conversions take 100 ms at most. Chips of this kind may begin one anew when
 * they are deselected: read sooner they would give the same value for ever. */
#define REST_MS 110

static void start(uint8_t select)
{
	(void)select; /* it has nothing to set */
}

static uint32_t word(uint8_t select)
{
	uint32_t w = 0;
	uint8_t i;
	spi_begin(select, SPI_MODE_0);
	for (i = 0; i < 4; i++)
		w = w << 8 | spi_swap(0);
	spi_end(select);
	return w;
}

/* A signed number of so many bits. */
static int32_t signed_of(uint32_t u, uint8_t bits)
{
	int32_t half = (int32_t)1 << (bits - 1);
	return ((int32_t)u ^ half) - half;
}

static void read(uint8_t select, tc_reading *r)
{
	uint32_t w = word(select);
	int32_t probe16, junction16; /* 1/16 degree */
	/* All zeros would be 0 degrees at both ends to the last bit: a dead line. */
	if (w == 0 || (w & BITS_ZERO)) {
		tc_fail(r, FW_FAULT_ADC, (int32_t)(w & 0x7FFFFFFFUL));
		return;
	}
	probe16 = 4 * signed_of(w >> 18 & 0x3FFFu, 14);
	junction16 = signed_of(w >> 4 & 0xFFFu, 12);
	r->junction_mc = junction16 * 125 / 2;
	r->detail = (int32_t)(w & 0x7u);
	r->state = 0;
	r->nanovolt = (probe16 - junction16) * 10319 / 4; /* 41276 / 16 */
	if (!(w & BIT_FAULT))
		return;
	r->nanovolt = FW_VALUE_MISSING;
	if (w & BIT_OPEN)
		r->state = FW_FAULT_OPEN;
	else if (w & (BIT_TO_GROUND | BIT_TO_SUPPLY))
		r->state = FW_FAULT_SHORT;
	else
		r->state = FW_FAULT_UNKNOWN;
}

const tc_family tc_linear = {start, read, REST_MS};
