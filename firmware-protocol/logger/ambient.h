/* ambient.h: an LM75-compatible thermometer at address 0x48 of the I2C bus. */
#ifndef AMBIENT_H
#define AMBIENT_H

#include <stdint.h>

void ambient_start(void);
/* m°C, or FW_VALUE_MISSING when it does not answer; takes 1 ms at most. */
int32_t ambient_mc(void);

#endif
