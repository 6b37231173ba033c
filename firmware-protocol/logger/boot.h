/* boot.h: why the logger started, and for how many times. */
#ifndef BOOT_H
#define BOOT_H

#include <stdint.h>

uint8_t boot_cause(void);       /* enum fw_restart */
uint16_t boot_count(void);      /* counts up; 0: the memory does not hold it */

#endif
