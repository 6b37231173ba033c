/* analog.c: the pressure sensor, ratiometric between its supply and ground, and
 * the supply itself. 0.5 V at 0 bar, 4.5 V at 100 bar, of 5 V. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include <simavr/avr_adc.h>

#include "bench.h"

static bench *the;

/* The library takes whole millivolts, and the converter has 10 bits. A sensor
 * has a noise of about a count, which lets 16 conversions see more; here it is
 * spread evenly over one count, in a fixed order. */
static void convert(struct avr_irq_t *irq, uint32_t value, void *param)
{
	static unsigned turn;
	avr_adc_mux_t mux;
	double supply = the->ill.supply_mv, step = supply / 1023;
	double mv = supply * (0.5 + 4.0 * the->now.pressure_bar / 100) / 5;
	unsigned order = turn & 15u;
	(void)irq;
	(void)param;
	memcpy(&mux, &value, sizeof value); /* as the library put it in */
	if (mux.kind != ADC_MUX_SINGLE || mux.src != 0)
		return;
	turn++;
	order = (order & 1u) << 3 | (order & 2u) << 1 | (order & 4u) >> 1 | (order & 8u) >> 3;
	/* The converter cuts off: half a count is left to it. */
	mv += step * (order + 0.5) / 16;
	mv = mv < 0 ? 0 : mv > supply ? supply : mv;
	avr_raise_irq(avr_io_getirq(the->avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0), (uint32_t)floor(mv + 0.5));
}

void analog_attach(bench *b)
{
	the = b;
	avr_irq_register_notify(avr_io_getirq(b->avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_OUT_TRIGGER), convert, NULL);
}
