/* bench.h: a simulated bench around the logger's firmware: the sensors, the chips
 * and the line, as far as the firmware can tell.
 *
 * This program links libsimavr, which is under the GNU General Public License,
 * version 3; so a built bench may only be handed on under that licence. It is
 * for tests alone: it goes into no firmware and into no part of fillwright.
 */
#ifndef BENCH_H
#define BENCH_H

#include <stdint.h>

#include <simavr/sim_avr.h>

#include "scenario.h"

#define HZ 16000000ull

/* What goes wrong, by command. */
enum probe_fault { PROBE_WELL, PROBE_OPEN, PROBE_SHORT };
typedef struct {
	enum probe_fault probe[PROBES];
	int silent[PROBES];   /* the chip does not answer */
	int stuck;            /* MISO: 0 free, 1 low, 2 high */
	int supply_mv;
	int ambient_gone, bus_stuck;
	double flip;          /* chance of a byte on the line to have a bit turned over */
	double drop;          /* chance of a byte to vanish */
} ills;

typedef struct {
	avr_t *avr;
	conditions now;
	ills ill;
	uint32_t chance; /* state of the bench's own random numbers */
} bench;

double seconds(const bench *b);
double chance(bench *b); /* 0 to 1, the same from run to run */

/* converters.c: three thermocouple chips on one SPI bus */
void converters_attach(bench *b);
void converters_tick(bench *b);
void converters_supply_lost(bench *b); /* they forget their settings */

/* analog.c: pressure sensor and supply; thermometer.c: the I2C thermometer */
void analog_attach(bench *b);
void thermometer_attach(bench *b);

/* line.c: the UART, to a file or a pseudo-terminal */
int line_open(bench *b, const char *file, const char *link);
int line_has_host(void);
void line_tick(bench *b);
int line_say(const char *hex); /* bytes to the firmware, as from a host */
void line_close(void);
unsigned long line_bytes(void);

/* commands.c: what goes wrong when */
int commands_load(const char *path);
void commands_tick(bench *b);

#endif
