/* thermocouple.h: one small interface before two families of SPI chips.
 *
 * tc_direct: chips with registers and a mode that gives the voltage itself
 * (19 bits, 149 nV a step). tc_linear: chips that only send one 32-bit word with
 * a temperature that they made by a straight line (0.25 degrees a step); what
 * the line did is undone, so that the voltage comes back.
 */
#ifndef THERMOCOUPLE_H
#define THERMOCOUPLE_H

#include <stdint.h>

#define PROBES 3

/* One reading. state is 0, or the enum fw_fault_code of what is wrong; then
 * nanovolt is FW_VALUE_MISSING. The junction may be known while the probe is
 * open; where it is not, junction_mc is FW_VALUE_MISSING. */
typedef struct {
	int32_t nanovolt;
	int32_t junction_mc;
	uint8_t state;
	int32_t detail; /* the chip's own fault bits */
} tc_reading;

typedef struct {
	void (*start)(uint8_t select);
	void (*read)(uint8_t select, tc_reading *r);
	uint16_t rest_ms; /* between two readings; a chip read sooner never finishes */
} tc_family;

extern const tc_family tc_direct, tc_linear;

/* Makes r a reading of a chip with this fault. */
void tc_fail(tc_reading *r, uint8_t state, int32_t detail);

#endif
