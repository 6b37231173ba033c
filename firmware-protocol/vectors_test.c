/* Reads vectors/vectors.csv (or a table of the same shape; "-" is standard
 * input), decodes each row with fillwire.c, encodes again what it decoded, and
 * prints the table as it finds it. Exit 1 when a row comes out otherwise.
 *
 *   cc -std=c99 -o vectors_test vectors_test.c fillwire.c
 *   ./vectors_test vectors/vectors.csv
 *
 * A port to another language is right when it prints the same.
 */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "fillwire.h"

#define BYTES_MOST 8192
#define LINE_MOST (8 * BYTES_MOST)
#define COLUMNS 5

static const char header[] = "name,what,wire,text,again";

/* What was found for one row. */
static char what[16], text[LINE_MOST], again[4 * FW_FRAME_MOST];
static size_t text_n;

static void say(const char *format, ...)
{
	va_list args;
	int n;
	va_start(args, format);
	n = vsnprintf(text + text_n, sizeof text - text_n, format, args);
	va_end(args);
	if (n > 0 && text_n + (size_t)n < sizeof text)
		text_n += (size_t)n;
}

static void say_hex(const uint8_t *p, size_t n)
{
	while (n-- > 0)
		say("%02x", (unsigned)*p++);
}

static void found(const char *w)
{
	snprintf(what, sizeof what, "%s", w);
}

static void encoded(const uint8_t *p, size_t n)
{
	size_t i;
	for (i = 0; i < n; i++)
		snprintf(again + 2 * i, 3, "%02x", (unsigned)p[i]);
}

static void say_label(const char *label)
{
	size_t n = FW_LABEL_MOST, i;
	while (n > 0 && label[n - 1] == 0)
		n--;
	for (i = 0; i < n; i++) {
		unsigned char c = (unsigned char)label[i];
		if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_')
			say("%c", c);
		else
			say("%%%02x", (unsigned)c);
	}
}

static int take_hello(const fw_frame *f, uint8_t *out, size_t *n)
{
	fw_channel channels[FW_CHANNEL_MOST];
	fw_hello h;
	int bad = fw_get_hello(f, &h, channels), i;
	say("hello seq=%u", (unsigned)f->seq);
	if (bad)
		return bad;
	say(" protocol=%u restart=%u board=0x%08lx%08lx boot=%u firmware=%u.%u rate_mhz=%lu channels=",
	    (unsigned)h.protocol, (unsigned)h.restart, (unsigned long)(h.board >> 32),
	    (unsigned long)(h.board & 0xFFFFFFFFu), (unsigned)h.boot, (unsigned)h.firm_major,
	    (unsigned)h.firm_minor, (unsigned long)h.rate_mhz);
	for (i = 0; i < h.n; i++) {
		say("%s%u:%u:%ld:", i ? ";" : "", (unsigned)channels[i].index,
		    (unsigned)channels[i].kind, (long)channels[i].scale);
		say_label(channels[i].label);
	}
	*n = fw_put_hello(out, FW_FRAME_MOST, f->seq, &h);
	return FW_OK;
}

static int take_sample(const fw_frame *f, uint8_t *out, size_t *n)
{
	int32_t values[FW_CHANNEL_MOST];
	fw_sample s;
	int bad = fw_get_sample(f, &s, values), i;
	say("sample seq=%u", (unsigned)f->seq);
	if (bad)
		return bad;
	say(" time_ms=%lu flags=0x%04x values=", (unsigned long)s.time_ms, (unsigned)s.flags);
	for (i = 0; i < s.n; i++) {
		say("%s", i ? ";" : "");
		if (values[i] == FW_VALUE_MISSING)
			say("missing");
		else
			say("%ld", (long)values[i]);
	}
	*n = fw_put_sample(out, FW_FRAME_MOST, f->seq, &s);
	return FW_OK;
}

static int take_fault(const fw_frame *f, uint8_t *out, size_t *n)
{
	fw_fault v;
	int bad = fw_get_fault(f, &v);
	say("fault seq=%u", (unsigned)f->seq);
	if (bad)
		return bad;
	say(" time_ms=%lu code=%u channel=%u detail=%ld", (unsigned long)v.time_ms,
	    (unsigned)v.code, (unsigned)v.channel, (long)v.detail);
	*n = fw_put_fault(out, FW_FRAME_MOST, f->seq, &v);
	return FW_OK;
}

static int take_pong(const fw_frame *f, uint8_t *out, size_t *n)
{
	fw_pong v;
	int bad = fw_get_pong(f, &v);
	say("pong seq=%u", (unsigned)f->seq);
	if (bad)
		return bad;
	say(" token=0x%08lx time_ms=%lu", (unsigned long)v.token, (unsigned long)v.time_ms);
	*n = fw_put_pong(out, FW_FRAME_MOST, f->seq, &v);
	return FW_OK;
}

static int take_request(const fw_frame *f, uint8_t *out, size_t *n)
{
	uint32_t v = 0;
	int bad = FW_OK;
	if (f->type == FW_ASK_HELLO) {
		say("ask-hello seq=%u", (unsigned)f->seq);
		*n = fw_put_ask_hello(out, FW_FRAME_MOST, f->seq);
	} else if (f->type == FW_SET_RATE) {
		say("set-rate seq=%u", (unsigned)f->seq);
		bad = fw_get_set_rate(f, &v);
		if (!bad)
			say(" rate_mhz=%lu", (unsigned long)v);
		*n = fw_put_set_rate(out, FW_FRAME_MOST, f->seq, v);
	} else {
		say("ping seq=%u", (unsigned)f->seq);
		bad = fw_get_ping(f, &v);
		if (!bad)
			say(" token=0x%08lx", (unsigned long)v);
		*n = fw_put_ping(out, FW_FRAME_MOST, f->seq, v);
	}
	return bad;
}

static int take_other(const fw_frame *f, uint8_t *out, size_t *n)
{
	say("type=0x%02x seq=%u body=", (unsigned)f->type, (unsigned)f->seq);
	say_hex(f->body, f->n);
	*n = fw_put_frame(out, FW_FRAME_MOST, f->type, f->seq, f->body, f->n);
	return FW_OK;
}

static void take_frame(const fw_frame *f)
{
	static const char *const bodies[] = {"frame", "body-short", "body-range", "body-version"};
	uint8_t out[FW_FRAME_MOST];
	size_t n = 0;
	int bad;
	switch (f->type) {
	case FW_HELLO: bad = take_hello(f, out, &n); break;
	case FW_SAMPLE: bad = take_sample(f, out, &n); break;
	case FW_FAULT: bad = take_fault(f, out, &n); break;
	case FW_PONG: bad = take_pong(f, out, &n); break;
	case FW_ASK_HELLO:
	case FW_SET_RATE:
	case FW_PING: bad = take_request(f, out, &n); break;
	default: bad = take_other(f, out, &n); break;
	}
	found(bodies[bad]);
	if (!bad)
		encoded(out, n);
}

/* One whole frame with its delimiter. */
static void row_frame(const uint8_t *p, size_t n)
{
	uint8_t buf[FW_CONTENT_MOST];
	fw_decoder d;
	fw_frame f;
	int result = FW_NONE;
	fw_decoder_init(&d, buf, sizeof buf, 1);
	while (n-- > 0)
		result = fw_decode(&d, *p++, &f);
	if (result == FW_FRAME)
		take_frame(&f);
	else
		found(result == FW_DAMAGED ? "damaged" : result == FW_OVERSIZE ? "oversize" : "nothing");
}

/* Many frames, with gaps, repeats and rubbish. */
static void row_stream(const uint8_t *p, size_t n, int aligned)
{
	uint8_t buf[FW_CONTENT_MOST];
	unsigned counts[4] = {0, 0, 0, 0};
	fw_follower follower;
	fw_decoder d;
	fw_frame f;
	memset(&follower, 0, sizeof follower);
	fw_decoder_init(&d, buf, sizeof buf, aligned);
	while (n-- > 0) {
		int result = fw_decode(&d, *p++, &f);
		if (result == FW_FRAME && !fw_follow(&follower, &f))
			continue;
		counts[result]++;
	}
	say("good=%u damaged=%u oversize=%u lost=%lu repeated=%lu", counts[FW_FRAME],
	    counts[FW_DAMAGED], counts[FW_OVERSIZE], (unsigned long)follower.lost,
	    (unsigned long)follower.repeated);
	found(aligned ? "stream" : "joined");
}

/* COBS alone: the decoder's buffer is looked at, whatever the CRC. */
static void row_cobs(const uint8_t *p, size_t n)
{
	uint8_t buf[FW_CONTENT_MOST], out[FW_FRAME_MOST];
	fw_decoder d;
	fw_frame f;
	fw_writer w;
	found("cobs");
	fw_decoder_init(&d, buf, sizeof buf, 1);
	while (n-- > 0)
		if (fw_decode(&d, *p++, &f) != FW_NONE)
			found("has-zero");
	say_hex(buf, d.n);
	fw_open(&w, out, sizeof out);
	fw_bytes(&w, buf, d.n);
	encoded(out, fw_close(&w));
}

static void row_crc(const uint8_t *p, size_t n)
{
	found("crc");
	say("0x%04x", (unsigned)fw_crc16(0xFFFFu, p, n));
}

/* Returns the bytes, or -1 when it is no hex or too long. */
static long unhex(const char *s, uint8_t *out)
{
	size_t n = strlen(s) / 2, i;
	if (strlen(s) % 2 != 0 || n > BYTES_MOST)
		return -1;
	for (i = 0; i < n; i++) {
		unsigned v;
		if (strspn(s + 2 * i, "0123456789abcdef") < 2 || sscanf(s + 2 * i, "%2x", &v) != 1)
			return -1;
		out[i] = (uint8_t)v;
	}
	return (long)n;
}

/* Cuts a line into its columns, in place. Returns how many there are. */
static int split(char *line, char *column[COLUMNS])
{
	int n = 0;
	while (n < COLUMNS) {
		column[n++] = line;
		line = strchr(line, ',');
		if (line == NULL)
			return n;
		*line++ = 0;
	}
	return COLUMNS + 1;
}

static int row(char *line, unsigned number)
{
	static uint8_t bytes[BYTES_MOST];
	char *column[COLUMNS];
	long n;
	if (split(line, column) != COLUMNS || (n = unhex(column[2], bytes)) < 0) {
		fprintf(stderr, "line %u: want %s with lower-case hex\n", number, header);
		return 1;
	}
	text_n = 0;
	text[0] = again[0] = 0;
	if (strcmp(column[1], "crc") == 0)
		row_crc(bytes, (size_t)n);
	else if (strcmp(column[1], "cobs") == 0)
		row_cobs(bytes, (size_t)n);
	else if (strcmp(column[1], "stream") == 0 || strcmp(column[1], "joined") == 0)
		row_stream(bytes, (size_t)n, column[1][0] == 's');
	else
		row_frame(bytes, (size_t)n);
	printf("%s,%s,%s,%s,%s\n", column[0], what, column[2], text, again);
	if (strcmp(what, column[1]) == 0 && strcmp(text, column[3]) == 0 && strcmp(again, column[4]) == 0)
		return 0;
	fprintf(stderr, "line %u, %s: the table says %s, %s, %s\n", number, column[0], column[1],
	        column[3], column[4]);
	return 1;
}

int main(int argc, char **argv)
{
	static char line[LINE_MOST];
	unsigned number = 0, wrong = 0;
	FILE *in = stdin;
	if (argc != 2) {
		fprintf(stderr, "usage: vectors_test vectors/vectors.csv\n");
		return 2;
	}
	if (strcmp(argv[1], "-") != 0 && (in = fopen(argv[1], "r")) == NULL) {
		perror(argv[1]);
		return 2;
	}
	while (fgets(line, sizeof line, in) != NULL) {
		line[strcspn(line, "\r\n")] = 0;
		number++;
		if (line[0] == '#' || strcmp(line, header) == 0)
			printf("%s\n", line);
		else
			wrong += (unsigned)row(line, number);
	}
	fprintf(stderr, "%u lines, %u wrong\n", number, wrong);
	return wrong != 0 || number == 0;
}
