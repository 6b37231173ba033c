/* main.c: runs the firmware on the simulated bench. Under the GPL, version 3,
 * and for tests alone: see bench.h.
 *
 *   bench --firmware logger.elf --scenario truth.csv [--commands faults.txt]
 *         (--out bytes.bin | --pty LINK) [--for SECONDS] [--speed N]
 *
 * With --pty the time begins when a host opens the port. --speed 0, the usual one
 * with --out, is as fast as it goes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <simavr/avr_ioport.h>
#include <simavr/sim_elf.h>

#include "bench.h"

#define TICK (HZ / 4000) /* 0.25 ms */
#define MCUSR 0x54
#define FLAG_POWER 0x01
#define PIN_BUSY 4

static bench b;
static avr_cycle_count_t began, busy_since, busy_most;

double seconds(const bench *x)
{
	return (double)(x->avr->cycle - began) / HZ;
}

double chance(bench *x)
{
	x->chance = x->chance * 1664525u + 1013904223u; /* Knuth's constants */
	return (x->chance >> 8) / 16777216.0;
}

/* The loop's test point: how long it works at a stretch. */
static void busy(struct avr_irq_t *irq, uint32_t value, void *param)
{
	(void)irq;
	(void)param;
	if (value) {
		busy_since = b.avr->cycle;
	} else if (busy_since != 0 && b.avr->cycle - busy_since > busy_most) {
		busy_most = b.avr->cycle - busy_since;
	}
}

static void no_sleep(avr_t *avr, avr_cycle_count_t cycles)
{
	(void)avr;
	(void)cycles;
}

static double now_s(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void nap(double s)
{
	struct timespec t = {0, (long)(s * 1e9)};
	nanosleep(&t, NULL);
}

/* Keeps the bench's time from running ahead of the clock's. */
static void pace(double speed)
{
	static double from = -1;
	double ahead;
	if (speed <= 0)
		return;
	if (from < 0)
		from = now_s() - seconds(&b) / speed;
	ahead = seconds(&b) / speed - (now_s() - from);
	if (ahead > 0.002)
		nap(ahead < 0.05 ? ahead : 0.05);
	else if (ahead < -1)
		from = now_s() - seconds(&b) / speed; /* the machine stood still */
}

/* The memory is painted at the start; what the stack has not reached still
 * carries the paint. */
#define PAINT 0xC5
#define RAM_FROM 0x100

static unsigned stack_most(void)
{
	unsigned at, clean = 0, longest = 0, end = RAM_FROM;
	for (at = RAM_FROM; at <= b.avr->ramend; at++) {
		clean = b.avr->data[at] == PAINT ? clean + 1 : 0;
		if (clean > longest) {
			longest = clean;
			end = at + 1;
		}
	}
	return b.avr->ramend + 1u - end;
}

static int run(double for_s, double speed)
{
	avr_cycle_count_t tick = 0, end = began + (avr_cycle_count_t)(for_s * HZ);
	while (b.avr->cycle < end) {
		int state = avr_run(b.avr);
		if (state == cpu_Done || state == cpu_Crashed) {
			fprintf(stderr, "the firmware stopped at %.3f s\n", seconds(&b));
			return 0;
		}
		if (b.avr->cycle < tick)
			continue;
		tick = b.avr->cycle + TICK;
		scenario_at(seconds(&b), &b.now);
		converters_tick(&b);
		commands_tick(&b);
		line_tick(&b);
		pace(speed);
	}
	return 1;
}

static int start(const char *firmware)
{
	elf_firmware_t f;
	memset(&f, 0, sizeof f);
	if (elf_read_firmware(firmware, &f) != 0) {
		fprintf(stderr, "%s: can't be read\n", firmware);
		return 0;
	}
	b.avr = avr_make_mcu_by_name("atmega328p");
	if (b.avr == NULL)
		return 0;
	avr_init(b.avr);
	f.frequency = HZ;
	avr_load_firmware(b.avr, &f);
	b.avr->frequency = HZ;
	b.avr->sleep = no_sleep;
	b.avr->log = LOG_ERROR;
	memset(b.avr->data + RAM_FROM, PAINT, b.avr->ramend + 1u - RAM_FROM);
	b.avr->data[MCUSR] = FLAG_POWER;
	b.ill.supply_mv = 5000;
	b.avr->vcc = b.avr->avcc = b.avr->aref = 5000;
	avr_irq_register_notify(avr_io_getirq(b.avr, AVR_IOCTL_IOPORT_GETIRQ('D'), PIN_BUSY), busy, NULL);
	return 1;
}

int main(int argc, char **argv)
{
	const char *firmware = NULL, *scenario = NULL, *commands = NULL, *out = NULL, *link = NULL;
	double for_s = 0, speed = 0;
	int i, ok;
	for (i = 1; i + 1 < argc; i += 2) {
		if (strcmp(argv[i], "--firmware") == 0)
			firmware = argv[i + 1];
		else if (strcmp(argv[i], "--scenario") == 0)
			scenario = argv[i + 1];
		else if (strcmp(argv[i], "--commands") == 0)
			commands = argv[i + 1];
		else if (strcmp(argv[i], "--out") == 0)
			out = argv[i + 1];
		else if (strcmp(argv[i], "--pty") == 0)
			link = argv[i + 1];
		else if (strcmp(argv[i], "--for") == 0)
			for_s = atof(argv[i + 1]);
		else if (strcmp(argv[i], "--speed") == 0)
			speed = atof(argv[i + 1]);
		else
			break;
	}
	if (i != argc || firmware == NULL || scenario == NULL || (out == NULL && link == NULL)) {
		fprintf(stderr, "usage: bench --firmware ELF --scenario CSV [--commands FILE] (--out FILE | --pty LINK) [--for S] [--speed N]\n");
		return 2;
	}
	if (!scenario_load(scenario) || (commands != NULL && !commands_load(commands)) || !start(firmware) ||
	    !line_open(&b, out, link))
		return 2;
	if (for_s <= 0)
		for_s = scenario_end_s();
	scenario_at(0, &b.now);
	analog_attach(&b);
	thermometer_attach(&b);
	while (link != NULL && !line_has_host())
		nap(0.02);
	began = b.avr->cycle;
	converters_attach(&b);
	ok = run(for_s, speed);
	line_close();
	printf("%.1f s simulated, %lu bytes sent; worst loop %.2f ms; deepest stack %u bytes\n", seconds(&b),
	       line_bytes(), (double)busy_most * 1000 / HZ, stack_most());
	return ok ? 0 : 1;
}
