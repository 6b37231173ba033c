/* pressure.h: a ratiometric sensor on analog pin 0, measured against its own
 * supply: when that falls, signal and reference fall together. */
#ifndef PRESSURE_H
#define PRESSURE_H

#include <stdint.h>

void pressure_start(void);
int32_t pressure_counts(void); /* 0 to 4092; takes 1.7 ms */
uint16_t supply_mv(void);      /* of sensor and board; takes 1 ms */

#endif
