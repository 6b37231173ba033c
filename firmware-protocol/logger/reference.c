/* reference.c: a program of its own that puts the controller's 1.1 V reference
 * on pin AREF, to be measured there. Flash it once, read the voltmeter, then build
 * the logger with BANDGAP_MV. Nothing may be wired to AREF but its capacitor.
 */
#include <avr/io.h>

int main(void)
{
	ADMUX = 1u << REFS1 | 1u << REFS0 | 0x0Eu;
	ADCSRA = 1u << ADEN;
	for (;;)
		;
}
