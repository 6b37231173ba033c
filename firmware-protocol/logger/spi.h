/* spi.h: the bus of the thermocouple chips, 1 MHz. Nothing here can hang: the
 * master makes the clock, whatever the line does. */
#ifndef SPI_H
#define SPI_H

#include <stdint.h>

enum spi_mode { SPI_MODE_0, SPI_MODE_1 };

void spi_start(void);
void spi_begin(uint8_t select, enum spi_mode mode); /* a pin of port B, low */
uint8_t spi_swap(uint8_t out);
void spi_end(uint8_t select);

#endif
