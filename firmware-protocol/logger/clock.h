/* clock.h: milliseconds since the start. */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdint.h>

void clock_start(void);
uint32_t clock_ms(void); /* wraps after 49.7 days */

#endif
