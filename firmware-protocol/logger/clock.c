/* clock.c: see clock.h. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"

#ifndef CLOCK_FROM
#define CLOCK_FROM 0 /* 4294960000 tries the wrap */
#endif

static volatile uint32_t ms = CLOCK_FROM;

ISR(TIMER0_COMPA_vect)
{
	ms++;
}

void clock_start(void)
{
	TCCR0A = 1u << WGM01; /* count to OCR0A, then from 0 */
	OCR0A = (uint8_t)(F_CPU / 64u / 1000u - 1u);
	TIMSK0 = 1u << OCIE0A;
	TCCR0B = 1u << CS01 | 1u << CS00; /* F_CPU / 64 */
}

uint32_t clock_ms(void)
{
	uint32_t now;
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
	{
		now = ms;
	}
	return now;
}
