/* board.c: the channels and the probes. Change these two tables for a board of
 * your own; the vessel profile refers to the channels by their index. */
#include <avr/io.h>

#include "board.h"

/* Pressure is the sum of 16 conversions of 10 bits, over 4. */
#define PRESSURE_FULL 4092

const fw_channel channels[CHANNELS] = {
	{0, FW_COUNTS, PRESSURE_FULL, "pressure"},
	{1, FW_NANOVOLT, 0, "gas"},
	{2, FW_NANOVOLT, 0, "wall-sun"},
	{3, FW_NANOVOLT, 0, "wall-shade"},
	{4, FW_MILLICELSIUS, 0, "junction"}, /* of the first probe's chip */
	{5, FW_MILLICELSIUS, 0, "ambient"},
};

const probe probes[PROBES] = {
	{&tc_direct, PB2}, /* pin 10 */
	{&tc_direct, PB1}, /* pin 9 */
	{&tc_linear, PB0}, /* pin 8 */
};
