/* tc_direct.c: thermocouple converters with registers, of the MAX31856 kind.
 *
 * They are used in their voltage mode with gain 32: the register then holds
 * 32 * 1.6 * 2^17 * V, a signed number of 19 bits, of which 18 are used
 * (+-19.53 mV, type K up to 475 degrees). Registers, formula and ranges: the
 * maker's data sheet; the tables of CR0 and CR1 from memory.
 */
#include <stddef.h>

#include "fillwire.h"
#include "spi.h"
#include "thermocouple.h"

#define WRITE 0x80u
#define REG_CR0 0x00u
#define REG_CJTH 0x0Au /* cold junction, 2 bytes; probe, 3 bytes; faults, 1 byte */

#define CR0_AUTO 0x80u   /* convert all the time */
#define CR0_OPEN 0x10u   /* look for an open probe, once in 16 conversions */
#define CR0_50HZ 0x01u   /* mains filter; 98 ms a conversion, 110 at most */
#define CR1_VOLT32 0x0Cu /* voltage, gain 32, no averaging */
#define MASK_ALL 0xFFu   /* the FAULT pin is not used */
#define CR0 (CR0_AUTO | CR0_OPEN | CR0_50HZ)

#define SR_COLD_RANGE 0x80u
#define SR_PROBE_RANGE 0x40u
#define SR_VOLTAGE 0x02u /* an input above the supply or below ground */
#define SR_OPEN 0x01u

#define CODE_MOST 131071L /* 2^17 - 1, full scale */

static void start(uint8_t select)
{
	spi_begin(select, SPI_MODE_1);
	spi_swap(WRITE | REG_CR0);
	spi_swap(CR0);
	spi_swap(CR1_VOLT32);
	spi_swap(MASK_ALL);
	spi_end(select);
}

static void registers(uint8_t select, uint8_t from, uint8_t *to, uint8_t n)
{
	spi_begin(select, SPI_MODE_1);
	spi_swap(from);
	while (n-- > 0)
		*to++ = spi_swap(0);
	spi_end(select);
}

/* 19 bits, left-aligned in 24. */
static int32_t code_of(const uint8_t *p)
{
	uint32_t u = (uint32_t)p[0] << 16 | (uint32_t)p[1] << 8 | p[2];
	int32_t code = (int32_t)(u >> 5);
	return code >= 0x40000L ? code - 0x80000L : code;
}

/* 1e9 / (32 * 1.6 * 2^17) = 149 + 761/65536 nV a step, exactly. */
static int32_t nanovolt_of(int32_t code)
{
	return 149 * code + 761 * code / 65536;
}

/* 14 bits, left-aligned in 16, 1/64 degree a step. */
static int32_t junction_of(const uint8_t *p)
{
	uint16_t u = (uint16_t)((uint16_t)p[0] << 8 | p[1]);
	int32_t step = (int32_t)(u >> 2);
	if (step >= 0x2000L)
		step -= 0x4000L;
	return step * 1000 / 64;
}

static void read(uint8_t select, tc_reading *r)
{
	uint8_t set[2], got[6];
	uint8_t fault;
	int32_t code;
	registers(select, REG_CR0, set, sizeof set);
	registers(select, REG_CJTH, got, sizeof got);
	/* A chip that lost its settings (its supply dipped) or does not answer: a
	 * number that it gives is then in another unit. Set it up again. */
	if (set[0] != CR0 || set[1] != CR1_VOLT32) {
		tc_fail(r, FW_FAULT_ADC, (int32_t)set[0] << 8 | set[1]);
		start(select);
		return;
	}
	fault = got[5];
	code = code_of(got + 2);
	r->state = 0;
	r->detail = fault;
	r->nanovolt = nanovolt_of(code);
	r->junction_mc = (fault & SR_COLD_RANGE) ? FW_VALUE_MISSING : junction_of(got);
	/* The chip looks for an open probe once in 16 conversions, 1.6 s. The
	 * resistor at its input pulls an open one to the rail at once. */
	if ((fault & SR_OPEN) || code >= CODE_MOST || code <= -CODE_MOST)
		r->state = FW_FAULT_OPEN;
	else if (fault & SR_VOLTAGE)
		r->state = FW_FAULT_SHORT;
	else if (fault & SR_PROBE_RANGE)
		r->state = FW_FAULT_UNKNOWN;
	if (r->state)
		r->nanovolt = FW_VALUE_MISSING;
}

const tc_family tc_direct = {start, read, 0};

void tc_fail(tc_reading *r, uint8_t state, int32_t detail)
{
	r->nanovolt = r->junction_mc = FW_VALUE_MISSING;
	r->state = state;
	r->detail = detail;
}
