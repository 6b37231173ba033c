/* pressure.c: see pressure.h. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "board.h"
#include "pressure.h"

#define REFERENCE (1u << REFS0) /* AVCC, which feeds the sensor, too */
#define INPUT_SENSOR 0u
#define INPUT_BANDGAP 0x0Eu
#define SUM 16
#define SETTLE 8 /* conversions, 0.8 ms, after the bandgap was switched on */

EMPTY_INTERRUPT(ADC_vect) /* it only wakes the processor */

/* Sleeps for the 104 us of a conversion: a processor at rest makes less noise. */
static uint16_t convert(void)
{
	ADCSRA |= (uint8_t)(1u << ADSC);
	cli();
	while (ADCSRA & (1u << ADSC)) {
		sleep_enable();
		sei(); /* takes effect after the next instruction: no interrupt is missed */
		sleep_cpu();
		sleep_disable();
		cli();
	}
	sei();
	return ADC;
}

void pressure_start(void)
{
	DIDR0 = 1u << ADC0D;
	ADMUX = REFERENCE | INPUT_SENSOR;
	/* 16 MHz / 128 = 125 kHz; 50 to 200 kHz are allowed for all 10 bits */
	ADCSRA = (uint8_t)(1u << ADEN | 1u << ADIE | 1u << ADPS2 | 1u << ADPS1 | 1u << ADPS0);
}

/* The sum of 16 conversions has two bits more, as long as the input carries a
 * noise of a count or so (the maker's note on oversampling); it is all of one
 * sample, so nothing is averaged over more than its period. */
int32_t pressure_counts(void)
{
	uint16_t sum = 0;
	uint8_t i;
	for (i = 0; i < SUM; i++)
		sum = (uint16_t)(sum + convert());
	return (int32_t)(sum >> 2);
}

/* The bandgap measured against the supply tells the supply. */
uint16_t supply_mv(void)
{
	uint16_t v = 0;
	uint8_t i;
	ADMUX = REFERENCE | INPUT_BANDGAP;
	for (i = 0; i < SETTLE; i++)
		v = convert();
	ADMUX = REFERENCE | INPUT_SENSOR;
	(void)convert(); /* the input needs one to come back */
	if (v == 0)
		return 0;
	return (uint16_t)((uint32_t)BANDGAP_MV * 1023u / v);
}
