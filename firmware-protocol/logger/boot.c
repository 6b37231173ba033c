/* boot.c: see boot.h. */
#include <avr/eeprom.h>
#include <avr/io.h>
#include <avr/wdt.h>

#include "boot.h"
#include "fillwire.h"

/* The count goes round 32 places, so that a cell that bears 100 000 writes
 * bears 3 million starts, and a start that was cut off while writing leaves the
 * earlier count. Each place holds the count and its complement. */
#define PLACES 32u

typedef struct {
	uint16_t count, inverse;
} place;

static place EEMEM ring[PLACES];

/* Kept from before the memory is cleared. A bootloader reads the cause and
 * clears it; the usual ones hand it on in r2. */
static uint8_t flags_seen __attribute__((section(".noinit")));
static uint8_t flags_handed __attribute__((section(".noinit")));

void boot_early(void) __attribute__((naked, used, section(".init0")));
void boot_early(void)
{
	__asm__ volatile("sts flags_handed, r2" ::: "memory");
}

/* The watchdog stays on after it has bitten, with 16 ms: off with it at once. */
void boot_flags(void) __attribute__((naked, used, section(".init3")));
void boot_flags(void)
{
	flags_seen = MCUSR;
	MCUSR = 0;
	wdt_disable();
}

uint8_t boot_cause(void)
{
	uint8_t f = flags_seen ? flags_seen : flags_handed;
	if (f & ~0x0Fu)
		return FW_RESTART_UNKNOWN; /* r2 was something else */
	if (f & (1u << PORF))
		return FW_RESTART_POWER; /* the others may be set by the rising supply */
	if (f & (1u << BORF))
		return FW_RESTART_BROWN_OUT;
	if (f & (1u << WDRF))
		return FW_RESTART_WATCHDOG;
	if (f & (1u << EXTRF))
		return FW_RESTART_PIN;
	return FW_RESTART_UNKNOWN;
}

static uint8_t read_place(uint8_t i, uint16_t *count)
{
	place p;
	eeprom_read_block(&p, &ring[i], sizeof p);
	*count = p.count;
	return (uint16_t)~p.inverse == p.count && p.count != 0;
}

uint16_t boot_count(void)
{
	uint16_t newest = 0, c;
	uint8_t at = PLACES - 1u, i;
	place p;
	for (i = 0; i < PLACES; i++)
		if (read_place(i, &c) && (newest == 0 || (int16_t)(uint16_t)(c - newest) > 0)) {
			newest = c;
			at = i;
		}
	at = (uint8_t)((at + 1u) % PLACES);
	p.count = newest == 0xFFFFu ? 1u : (uint16_t)(newest + 1u); /* 0 would mean: can't tell */
	p.inverse = (uint16_t)~p.count;
	eeprom_update_block(&p, &ring[at], sizeof p);
	return read_place(at, &c) && c == p.count ? c : 0;
}
