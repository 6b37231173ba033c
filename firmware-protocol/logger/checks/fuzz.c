/* fuzz.c: feeds fillwire.c on the host with frames, spoiled frames and rubbish,
 * under the compiler's sanitizers, and checks what must always hold:
 * what was encoded comes back; no input makes the decoder step out of its buffer
 * (which lies between guards) or miss the good frame after the next delimiter.
 *
 *   fuzz SEED ROUNDS
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fillwire.h"

#define GUARD 16

static uint64_t state;

/* Knuth's MMIX constants. */
static uint32_t draw(uint32_t below)
{
	state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
	return (uint32_t)(state >> 33) % below;
}

static uint8_t draw_byte(void)
{
	return draw(3) == 0 ? 0 : (uint8_t)draw(256);
}

static void must(int holds, const char *what)
{
	if (holds)
		return;
	fprintf(stderr, "fuzz: %s\n", what);
	exit(1);
}

/* Everything that reads a frame's body. */
static void read_all(const fw_frame *f)
{
	fw_channel channels[FW_CHANNEL_MOST];
	int32_t values[FW_CHANNEL_MOST];
	uint8_t out[FW_FRAME_MOST];
	fw_hello h;
	fw_sample s;
	fw_fault v;
	fw_pong p;
	uint32_t u;
	if (fw_get_hello(f, &h, channels) == FW_OK)
		must(h.n <= FW_CHANNEL_MOST && fw_put_hello(out, sizeof out, 0, &h) > 0, "a hello that was read can't be written");
	if (fw_get_sample(f, &s, values) == FW_OK)
		must(s.n <= FW_CHANNEL_MOST && fw_put_sample(out, sizeof out, 0, &s) > 0, "a sample that was read can't be written");
	(void)fw_get_fault(f, &v);
	(void)fw_get_pong(f, &p);
	(void)fw_get_set_rate(f, &u);
	(void)fw_get_ping(f, &u);
	must(fw_put_frame(out, sizeof out, f->type, f->seq, f->body, f->n) > 0, "a frame that was read can't be written");
}

static size_t make(uint8_t *out, uint8_t *body, size_t *n, uint8_t type, uint8_t seq)
{
	size_t i;
	*n = draw(8) == 0 ? draw(FW_BODY_MOST + 1) : draw(80);
	for (i = 0; i < *n; i++)
		body[i] = draw_byte();
	if (*n > 0 && type == FW_HELLO && draw(2))
		body[0] = FW_VERSION;
	return fw_put_frame(out, FW_FRAME_MOST, type, seq, body, *n);
}

/* Turns bits over, cuts out, repeats or adds bytes. */
static size_t spoil(uint8_t *p, size_t n)
{
	uint32_t times = draw(4);
	while (times-- > 0 && n > 1) {
		uint32_t at = draw((uint32_t)n);
		switch (draw(3)) {
		case 0: p[at] ^= (uint8_t)(1u << draw(8)); break;
		case 1: memmove(p + at, p + at + 1, n - at - 1); n--; break;
		default: p[at] = draw_byte(); break;
		}
	}
	return n;
}

static void round_of(size_t size)
{
	static uint8_t room[GUARD + FW_CONTENT_MOST + GUARD];
	uint8_t body[FW_BODY_MOST], wire[FW_FRAME_MOST];
	uint8_t type = draw(4) ? (uint8_t)(1 + draw(4)) : (uint8_t)draw(256), seq = (uint8_t)draw(256);
	fw_follower follower;
	fw_decoder d;
	fw_frame f;
	size_t n, i, wire_n;
	int result = FW_NONE;
	memset(room, 0xA5, sizeof room);
	memset(&follower, 0, sizeof follower);
	fw_decoder_init(&d, room + GUARD, size, (int)draw(2));
	wire_n = spoil(wire, make(wire, body, &n, type, seq));
	for (i = 0; i < wire_n; i++)
		if (fw_decode(&d, wire[i], &f) == FW_FRAME) {
			read_all(&f);
			(void)fw_follow(&follower, &f);
		}
	(void)fw_decode(&d, 0, &f); /* the next delimiter */
	wire_n = make(wire, body, &n, type, seq);
	for (i = 0; i < wire_n; i++)
		result = fw_decode(&d, wire[i], &f);
	if (n + 4 > size)
		must(result == FW_OVERSIZE, "a frame beyond the buffer is not called oversize");
	else
		must(result == FW_FRAME && f.type == type && f.seq == seq && f.n == n && (n == 0 || memcmp(f.body, body, n) == 0),
		     "a good frame after rubbish does not come back");
	for (i = 0; i < GUARD; i++)
		must(room[i] == 0xA5 && room[GUARD + size + i] == 0xA5, "the decoder left its buffer");
}

/* An encoder with too little room says so and writes nothing beyond. */
static void short_room(void)
{
	uint8_t body[FW_BODY_MOST], wire[FW_FRAME_MOST], little[64 + GUARD];
	uint8_t type = (uint8_t)draw(256);
	size_t n, need, room = draw(65), i;
	need = make(wire, body, &n, type, 0);
	memset(little, 0xA5, sizeof little);
	n = fw_put_frame(little, room, type, 0, body, n);
	must(n == (need > room ? 0 : need), "an encoder without room does not say so");
	for (i = room; i < sizeof little; i++)
		must(little[i] == 0xA5, "an encoder wrote beyond its room");
}

int main(int argc, char **argv)
{
	unsigned long rounds, i;
	if (argc != 3) {
		fprintf(stderr, "usage: fuzz SEED ROUNDS\n");
		return 2;
	}
	state = strtoull(argv[1], NULL, 10);
	rounds = strtoul(argv[2], NULL, 10);
	for (i = 0; i < rounds; i++) {
		round_of(draw(2) ? FW_CONTENT_MOST : 16);
		short_room();
	}
	printf("%lu rounds, nothing found\n", rounds);
	return 0;
}
