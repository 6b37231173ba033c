/* spi.c: see spi.h. */
#include <avr/io.h>

#include "board.h"
#include "spi.h"

#define PIN_MOSI PB3
#define PIN_SCK PB5

static uint8_t bit(uint8_t pin)
{
	return (uint8_t)(1u << pin);
}

void spi_start(void)
{
	uint8_t i, out = (uint8_t)(1u << PB2 | 1u << PIN_MOSI | 1u << PIN_SCK);
	for (i = 0; i < PROBES; i++) {
		PORTB = (uint8_t)(PORTB | bit(probes[i].select)); /* not selected */
		out = (uint8_t)(out | bit(probes[i].select));
	}
	DDRB |= out; /* PB2 must be an output, or the bus may turn to slave */
	PORTB |= (uint8_t)(1u << PB4); /* a line that nobody drives reads ones */
}

void spi_begin(uint8_t select, enum spi_mode mode)
{
	/* 16 MHz / 16; mode 1: data change with the rising edge */
	SPCR = (uint8_t)(1u << SPE | 1u << MSTR | 1u << SPR0 | (mode == SPI_MODE_1 ? 1u << CPHA : 0u));
	PORTB = (uint8_t)(PORTB & ~bit(select));
}

uint8_t spi_swap(uint8_t out)
{
	SPDR = out;
	while (!(SPSR & (1u << SPIF)))
		;
	return SPDR;
}

void spi_end(uint8_t select)
{
	PORTB = (uint8_t)(PORTB | bit(select));
}
