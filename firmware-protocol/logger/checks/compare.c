/* compare.c: holds what the firmware sent against what the scenario set.
 *
 *   compare capture.bin truth.csv PERIOD_MS SECONDS
 *
 * Every sample must be there, at its time, with every value within one count of
 * what its converter could have seen: a value is older than its sample by up to
 * a conversion and the time between two readings of its chip. Exit 1 otherwise.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fillwire.h"
#include "scenario.h"

#define CHANNELS 6
#define LATE_S 0.03  /* the device's clock starts so long after the scenario's, at most */
#define SETTLED_MS 2000 /* the chips have all converted */
#define LOOK_S 0.01

/* A channel: how old its value may be, and how many units one count is. */
static const struct {
	const char *name;
	double old_s, count;
} rows[CHANNELS] = {
	{"pressure", 0.01, 4},         /* of 4092: one count of the 10-bit converter */
	{"gas", 0.11, 149.0116},       /* nV */
	{"wall-sun", 0.11, 149.0116},
	{"wall-shade", 0.33, 10319},   /* 0.25 degrees */
	{"junction", 0.11, 1000.0 / 64},
	{"ambient", 0.56, 1000.0 / 16},
};

static double worst[CHANNELS];
static unsigned long samples, missing, gaps, flagged;

static double expected(int channel, const conditions *c)
{
	switch (channel) {
	case 0: return 4092 * (0.5 + 4 * c->pressure_bar / 100) / 5;
	case 4: return 1000 * c->junction_c;
	case 5: return 1000 * c->ambient_c;
	default: return 1e6 * (type_k_mv(c->probe_c[channel - 1]) - type_k_mv(c->junction_c));
	}
}

/* How far v lies outside of what the channel could have seen, in counts. */
static double off(int channel, double time_s, double v)
{
	double least = INFINITY, most = -INFINITY, t;
	conditions c;
	for (t = time_s - rows[channel].old_s; t <= time_s + LATE_S + LOOK_S / 2; t += LOOK_S) {
		double e;
		scenario_at(t, &c);
		e = expected(channel, &c);
		least = fmin(least, e);
		most = fmax(most, e);
	}
	return fmax(fmax(least - v, v - most), 0) / rows[channel].count;
}

static void check(const fw_sample *s)
{
	int i;
	if (s->flags != 0)
		flagged++;
	for (i = 0; i < CHANNELS; i++) {
		double d;
		if (s->values[i] == FW_VALUE_MISSING) {
			missing++;
			continue;
		}
		d = off(i, s->time_ms / 1000.0, s->values[i]);
		if (d > worst[i])
			worst[i] = d;
	}
}

static void take(const fw_frame *f, uint32_t period_ms)
{
	static uint32_t last_ms;
	static int following;
	int32_t values[FW_CHANNEL_MOST];
	fw_sample s;
	if (f->type != FW_SAMPLE || fw_get_sample(f, &s, values) != FW_OK || s.n != CHANNELS)
		return;
	if (s.time_ms < SETTLED_MS)
		return;
	if (following && s.time_ms - last_ms != period_ms)
		gaps++;
	following = 1;
	last_ms = s.time_ms;
	samples++;
	check(&s);
}

int main(int argc, char **argv)
{
	static uint8_t buf[FW_CONTENT_MOST];
	fw_follower follower;
	fw_decoder d;
	fw_frame f;
	unsigned long damaged = 0, frames = 0;
	int byte, bad = 0, i;
	FILE *in;
	unsigned long wanted;
	if (argc != 5 || !scenario_load(argv[2]) || (in = fopen(argv[1], "rb")) == NULL) {
		fprintf(stderr, "usage: compare capture.bin truth.csv PERIOD_MS SECONDS\n");
		return 2;
	}
	memset(&follower, 0, sizeof follower);
	fw_decoder_init(&d, buf, sizeof buf, 1);
	while ((byte = fgetc(in)) != EOF) {
		int r = fw_decode(&d, (uint8_t)byte, &f);
		if (r == FW_FRAME) {
			frames++;
			fw_follow(&follower, &f);
			take(&f, (uint32_t)atol(argv[3]));
		} else if (r != FW_NONE) {
			damaged++;
		}
	}
	fclose(in);
	printf("%lu frames, %lu samples; %lu damaged, %lu lost, %lu out of time, %lu flagged, %lu values missing\n",
	       frames, samples, damaged, (unsigned long)follower.lost, gaps, flagged, missing);
	for (i = 0; i < CHANNELS; i++) {
		printf("  %-10s at most %.2f counts off\n", rows[i].name, worst[i]);
		bad |= !(worst[i] <= 1);
	}
	/* from SETTLED_MS to the end, where the device's clock is a little behind */
	wanted = (unsigned long)((1000 * atof(argv[4]) - SETTLED_MS - 1000 * LATE_S) / atof(argv[3]));
	if (samples < wanted)
		printf("  %lu samples are wanted\n", wanted);
	bad |= samples < wanted || damaged || follower.lost || gaps || flagged || missing;
	printf("%s\n", bad ? "FAILED" : "as it should be");
	return bad;
}
