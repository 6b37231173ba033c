/* vectors_avr.c: fillwire.c on the controller itself against the protocol's table
 * of vectors, which rows.awk turns into C. Prints each row that comes out
 * otherwise, and how many there were, on the UART.
 */
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <string.h>

#include "fillwire.h"

enum what { CRC, COBS, FRAME, DAMAGED, OVERSIZE, NOTHING, BODY_SHORT, BODY_RANGE, BODY_VERSION, STREAM, JOINED };

typedef struct {
	uint16_t number; /* line of the table */
	uint8_t what;
	uint16_t wire_at, wire_n, again_at, again_n;
	uint16_t counts[5]; /* good, damaged, oversize, lost, repeated; or a CRC */
} row;

#include "rows.h"

static uint8_t buf[FW_CONTENT_MOST], out[FW_FRAME_MOST];
static fw_decoder decoder;
static fw_frame frame;

static void say(const char *s)
{
	while (*s) {
		while (!(UCSR0A & (1u << UDRE0)))
			;
		UDR0 = (uint8_t)*s++;
	}
}

static void say_number(uint16_t n)
{
	char text[6] = "    0", *p = text + 5;
	do {
		*--p = (char)('0' + n % 10u);
		n = (uint16_t)(n / 10u);
	} while (n != 0);
	say(p);
}

/* A known frame is read field by field and written again; others as they are. */
static int again(size_t *n)
{
	static union {
		fw_channel channels[FW_CHANNEL_MOST];
		int32_t values[FW_CHANNEL_MOST];
	} room;
	fw_hello h;
	fw_sample s;
	fw_fault f;
	fw_pong p;
	uint32_t v = 0;
	int bad = FW_OK;
	switch (frame.type) {
	case FW_HELLO:
		bad = fw_get_hello(&frame, &h, room.channels);
		*n = bad ? 0 : fw_put_hello(out, sizeof out, frame.seq, &h);
		return bad;
	case FW_SAMPLE:
		bad = fw_get_sample(&frame, &s, room.values);
		*n = bad ? 0 : fw_put_sample(out, sizeof out, frame.seq, &s);
		return bad;
	case FW_FAULT:
		bad = fw_get_fault(&frame, &f);
		*n = bad ? 0 : fw_put_fault(out, sizeof out, frame.seq, &f);
		return bad;
	case FW_PONG:
		bad = fw_get_pong(&frame, &p);
		*n = bad ? 0 : fw_put_pong(out, sizeof out, frame.seq, &p);
		return bad;
	case FW_ASK_HELLO:
		*n = fw_put_ask_hello(out, sizeof out, frame.seq);
		return FW_OK;
	case FW_SET_RATE:
		bad = fw_get_set_rate(&frame, &v);
		*n = bad ? 0 : fw_put_set_rate(out, sizeof out, frame.seq, v);
		return bad;
	case FW_PING:
		bad = fw_get_ping(&frame, &v);
		*n = bad ? 0 : fw_put_ping(out, sizeof out, frame.seq, v);
		return bad;
	default:
		*n = fw_put_frame(out, sizeof out, frame.type, frame.seq, frame.body, frame.n);
		return FW_OK;
	}
}

static uint8_t same(const row *r, size_t n)
{
	uint16_t i;
	if (n != r->again_n)
		return 0;
	for (i = 0; i < r->again_n; i++)
		if (pgm_read_byte(&bytes[r->again_at + i]) != out[i])
			return 0;
	return 1;
}

static uint8_t wire(const row *r, uint16_t i)
{
	return pgm_read_byte(&bytes[r->wire_at + i]);
}

static uint8_t one_frame(const row *r)
{
	static const uint8_t bodies[] = {FRAME, BODY_SHORT, BODY_RANGE, BODY_VERSION};
	int result = FW_NONE;
	size_t n = 0;
	uint16_t i;
	fw_decoder_init(&decoder, buf, sizeof buf, 1);
	for (i = 0; i < r->wire_n; i++)
		result = fw_decode(&decoder, wire(r, i), &frame);
	if (result == FW_FRAME)
		return bodies[again(&n)] == r->what && same(r, n);
	return r->what == (result == FW_DAMAGED ? DAMAGED : result == FW_OVERSIZE ? OVERSIZE : NOTHING);
}

static uint8_t stream(const row *r)
{
	static fw_follower follower;
	uint16_t counts[5] = {0, 0, 0, 0, 0}, i;
	memset(&follower, 0, sizeof follower);
	fw_decoder_init(&decoder, buf, sizeof buf, r->what == STREAM);
	for (i = 0; i < r->wire_n; i++) {
		int result = fw_decode(&decoder, wire(r, i), &frame);
		if (result == FW_NONE || (result == FW_FRAME && !fw_follow(&follower, &frame)))
			continue;
		counts[result - FW_FRAME]++;
	}
	counts[3] = (uint16_t)follower.lost;
	counts[4] = (uint16_t)follower.repeated;
	return memcmp(counts, r->counts, sizeof counts) == 0;
}

static uint8_t cobs(const row *r)
{
	fw_writer w;
	uint16_t i;
	fw_decoder_init(&decoder, buf, sizeof buf, 1);
	for (i = 0; i < r->wire_n; i++)
		(void)fw_decode(&decoder, wire(r, i), &frame);
	fw_open(&w, out, sizeof out);
	fw_bytes(&w, buf, decoder.n);
	return same(r, fw_close(&w));
}

static uint8_t crc(const row *r)
{
	uint16_t c = 0xFFFFu, i;
	for (i = 0; i < r->wire_n; i++) {
		uint8_t b = wire(r, i);
		c = fw_crc16(c, &b, 1);
	}
	return c == r->counts[0];
}

static uint8_t right(const row *r)
{
	switch (r->what) {
	case CRC: return crc(r);
	case COBS: return cobs(r);
	case STREAM:
	case JOINED: return stream(r);
	default: return one_frame(r);
	}
}

int main(void)
{
	uint16_t i, wrong = 0;
	row r;
	UCSR0A = 1u << U2X0;
	UBRR0 = 16;
	UCSR0B = 1u << TXEN0;
	for (i = 0; i < ROWS; i++) {
		memcpy_P(&r, &table[i], sizeof r);
		if (right(&r))
			continue;
		wrong++;
		say("line ");
		say_number(r.number);
		say(" comes out otherwise\n");
	}
	say_number(ROWS);
	say(" rows, ");
	say_number(wrong);
	say(" wrong\n");
	for (;;)
		;
}
