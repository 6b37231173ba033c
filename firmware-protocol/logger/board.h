/* board.h: what is wired to which pin, and which channel it is. The table of
 * channels is in board.c; schematic and wiring are in README.md.
 *
 * A common 5 V hobby board with an ATmega328P at 16 MHz. Its digital pins 8 to
 * 13 are PB0 to PB5, 2 to 7 are PD2 to PD7, its analog pins are PC0 to PC5.
 */
#ifndef BOARD_H
#define BOARD_H

#include <stdint.h>

#include "fillwire.h"
#include "thermocouple.h"

#ifndef BOARD_NUMBER
#define BOARD_NUMBER 0 /* this board's own number, the same for ever; 0: none */
#endif
#ifndef BANDGAP_MV
#define BANDGAP_MV 1100 /* measured with reference.c; 1000 to 1200 by the data sheet */
#endif

#define FIRM_MAJOR 1
#define FIRM_MINOR 0

#define BAUD 115200UL
#define RATE_PERIOD_MS 50   /* 20 Hz after a start */
#define PERIOD_LEAST_MS 10  /* 100 Hz: the line takes no more at 115200 baud */
#define PERIOD_MOST_MS 1000
#define SUPPLY_LEAST_MV 4500 /* below it a 5 V pressure sensor is out of its range */

/* Channels, in the order of the hello. */
enum {
	AT_PRESSURE,
	AT_PROBES, /* the thermocouples, one after the other */
	AT_JUNCTION = AT_PROBES + PROBES,
	AT_AMBIENT,
	CHANNELS
};

extern const fw_channel channels[CHANNELS];

/* One thermocouple: its chip's family and the pin of port B that selects it. */
typedef struct {
	const tc_family *family;
	uint8_t select;
} probe;

extern const probe probes[PROBES];

#endif
