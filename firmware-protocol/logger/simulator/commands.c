/* commands.c: what goes wrong when, from a file: a time in seconds of the
 * scenario and a command on each line; # begins a remark. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"

#define COMMANDS_MOST 256
#define MCUSR 0x54
#define EECR 0x3F
#define EEPE 0x02
#define EEMPE 0x04
#define FLAG_PIN 0x02
#define FLAG_BROWN_OUT 0x04

typedef struct {
	double at_s;
	char verb[16], what[48];
} command;

static command list[COMMANDS_MOST];
static size_t count, next;

static const char *const probe_names[PROBES] = {"gas", "sun", "shade"};

static int probe_of(const char *name)
{
	int i;
	for (i = 0; i < PROBES; i++)
		if (strcmp(name, probe_names[i]) == 0)
			return i;
	return -1;
}

static void restart(bench *b, uint8_t cause)
{
	avr_reset(b->avr);
	b->avr->data[MCUSR] = cause;
}

/* A program that runs in circles: a jump to itself at the end of the flash. */
static void hang(bench *b)
{
	uint32_t at = b->avr->flashend - 1;
	b->avr->flash[at] = 0xFF;
	b->avr->flash[at + 1] = 0xCF;
	b->avr->pc = at;
	b->avr->state = cpu_Running;
}

static avr_io_write_t memory_control;

static void no_write(avr_t *avr, avr_io_addr_t addr, uint8_t v, void *param)
{
	if (v & EEPE)
		avr->data[addr] = (uint8_t)(v & ~(EEPE | EEMPE)); /* done at once, and nothing was written */
	else
		memory_control(avr, addr, v, param);
}

/* From here on the EEPROM keeps what it holds. */
static void break_memory(bench *b)
{
	if (memory_control != NULL)
		return;
	memory_control = b->avr->io[AVR_DATA_TO_IO(EECR)].w.c;
	b->avr->io[AVR_DATA_TO_IO(EECR)].w.c = no_write;
}

/* Does the command, or returns 0. */
static int obey(bench *b, const command *c)
{
	int p = probe_of(c->what);
	ills *i = &b->ill;
	if (strcmp(c->verb, "open") == 0 && p >= 0)
		i->probe[p] = PROBE_OPEN;
	else if (strcmp(c->verb, "short") == 0 && p >= 0)
		i->probe[p] = PROBE_SHORT;
	else if (strcmp(c->verb, "mend") == 0 && p >= 0)
		i->probe[p] = PROBE_WELL, i->silent[p] = 0;
	else if (strcmp(c->verb, "silent") == 0 && p >= 0)
		i->silent[p] = 1;
	else if (strcmp(c->verb, "stuck") == 0)
		i->stuck = strcmp(c->what, "low") == 0 ? 1 : strcmp(c->what, "high") == 0 ? 2 : 0;
	else if (strcmp(c->verb, "chips") == 0 && strcmp(c->what, "forget") == 0)
		converters_supply_lost(b);
	else if (strcmp(c->verb, "supply") == 0)
		b->avr->avcc = b->avr->vcc = (uint32_t)(i->supply_mv = atoi(c->what));
	else if (strcmp(c->verb, "ambient") == 0)
		i->ambient_gone = strcmp(c->what, "gone") == 0, i->bus_stuck = strcmp(c->what, "stuck") == 0;
	else if (strcmp(c->verb, "memory") == 0 && strcmp(c->what, "broken") == 0)
		break_memory(b);
	else if (strcmp(c->verb, "flip") == 0)
		i->flip = atof(c->what);
	else if (strcmp(c->verb, "drop") == 0)
		i->drop = atof(c->what);
	else if (strcmp(c->verb, "reset") == 0 && strcmp(c->what, "pin") == 0)
		restart(b, FLAG_PIN);
	else if (strcmp(c->verb, "reset") == 0 && strcmp(c->what, "brown-out") == 0)
		restart(b, FLAG_BROWN_OUT), converters_supply_lost(b);
	else if (strcmp(c->verb, "say") == 0)
		return line_say(c->what);
	else if (strcmp(c->verb, "hang") == 0)
		hang(b);
	else
		return 0;
	return 1;
}

int commands_load(const char *path)
{
	char line[128];
	FILE *f = fopen(path, "r");
	if (f == NULL) {
		perror(path);
		return 0;
	}
	while (fgets(line, sizeof line, f) != NULL) {
		command *c = &list[count];
		if (line[0] == '#' || line[0] == '\n')
			continue;
		memset(c, 0, sizeof *c);
		if (count == COMMANDS_MOST - 1 || sscanf(line, "%lf %15s %47s", &c->at_s, c->verb, c->what) < 2) {
			fprintf(stderr, "%s: can't be used: %s", path, line);
			fclose(f);
			return 0;
		}
		count++;
	}
	fclose(f);
	return 1;
}

void commands_tick(bench *b)
{
	while (next < count && seconds(b) >= list[next].at_s) {
		command *c = &list[next++];
		if (!obey(b, c)) {
			fprintf(stderr, "there is no command %s %s\n", c->verb, c->what);
			exit(2);
		}
		fprintf(stderr, "%8.3f s  %s %s\n", seconds(b), c->verb, c->what);
	}
}
