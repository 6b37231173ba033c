/* fillwire: reference encoder and decoder of the logger protocol, version 1.
 *
 * Portable C99: no heap, no floating point, no global state, nothing but
 * <stddef.h> and <stdint.h>. Works where int has 16 bits. The protocol is
 * written out in README.md beside this file.
 */
#ifndef FILLWIRE_H
#define FILLWIRE_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define FW_VERSION 1
#define FW_CONTENT_MOST 512 /* bytes before COBS: type, seq, body, crc */
#define FW_BODY_MOST 508
#define FW_CHANNEL_MOST 16
#define FW_LABEL_MOST 12
#define FW_VALUE_MISSING (-INT32_C(2147483647) - 1) /* no reading; not a zero */

/* Bytes of a whole encoded frame with a body of n bytes, delimiter included. */
#define FW_FRAME_SIZE(n) ((size_t)(n) + 4 + ((size_t)(n) + 4) / 254 + 2)
#define FW_FRAME_MOST FW_FRAME_SIZE(FW_BODY_MOST)
#define FW_HELLO_BODY(channels) (19 + 18 * (size_t)(channels))
#define FW_SAMPLE_BODY(channels) (7 + 4 * (size_t)(channels))

enum fw_type { /* 0x01..0x3f logger, 0x40..0x7f host to logger, 0x80.. run log */
	FW_HELLO = 0x01,
	FW_SAMPLE = 0x02,
	FW_FAULT = 0x03,
	FW_PONG = 0x04,
	FW_ASK_HELLO = 0x40,
	FW_SET_RATE = 0x41,
	FW_PING = 0x42
};

enum fw_kind {
	FW_NANOVOLT = 1,
	FW_MILLICELSIUS = 2,
	FW_COUNTS = 3,
	FW_MICROAMPERE = 4,
	FW_PASCAL = 5
};

enum fw_restart {
	FW_RESTART_UNKNOWN = 0,
	FW_RESTART_POWER = 1,
	FW_RESTART_PIN = 2,
	FW_RESTART_WATCHDOG = 3,
	FW_RESTART_BROWN_OUT = 4
};

enum fw_fault_code {
	FW_FAULT_OPEN = 1,
	FW_FAULT_SHORT = 2,
	FW_FAULT_ADC = 3,
	FW_FAULT_MEMORY = 4,
	FW_FAULT_UNKNOWN = 255
};

#define FW_FLAG_COLD_JUNCTION_FAULT 0x0001u
#define FW_FLAG_SUPPLY_LOW 0x0002u
#define FW_FLAG_OVERRUN 0x0004u

typedef struct {
	uint8_t index;
	uint8_t kind;              /* enum fw_kind */
	int32_t scale;             /* FW_COUNTS: full-scale count; otherwise 0 */
	char label[FW_LABEL_MOST]; /* ASCII, padded with zero bytes */
} fw_channel;

typedef struct {
	uint8_t protocol; /* FW_VERSION */
	uint8_t restart;  /* enum fw_restart */
	uint64_t board;   /* the board's own number */
	uint16_t boot;    /* another at each start; 0: can't tell */
	uint8_t firm_major, firm_minor;
	uint32_t rate_mhz; /* nominal sample rate, millihertz */
	uint8_t n;         /* channels */
	const fw_channel *channels;
} fw_hello;

typedef struct {
	uint32_t time_ms; /* device time, wraps */
	uint16_t flags;
	uint8_t n;
	const int32_t *values; /* in the order of the hello's channels */
} fw_sample;

typedef struct {
	uint32_t time_ms;
	uint8_t code;    /* enum fw_fault_code */
	uint8_t channel; /* a channel's index; 255: the whole logger */
	int32_t detail;
} fw_fault;

typedef struct {
	uint32_t token;
	uint32_t time_ms;
} fw_pong;

/* CRC-16/CCITT-FALSE over n bytes; start with crc = 0xFFFF. */
uint16_t fw_crc16(uint16_t crc, const uint8_t *p, size_t n);

/* ---- writing ----
 * A writer encodes byte by byte straight into the caller's buffer. */
typedef struct {
	uint8_t *out;
	size_t size, n; /* room, bytes written */
	size_t code_at; /* where the open block's code byte stands */
	uint16_t crc;
	uint8_t full; /* it did not fit */
} fw_writer;

void fw_begin(fw_writer *w, uint8_t *out, size_t size, uint8_t type, uint8_t seq);
void fw_u8(fw_writer *w, uint8_t v);
void fw_u16(fw_writer *w, uint16_t v);
void fw_u32(fw_writer *w, uint32_t v);
void fw_u64(fw_writer *w, uint64_t v);
void fw_bytes(fw_writer *w, const uint8_t *p, size_t n);
/* Adds CRC and delimiter. Returns the frame's bytes; 0: it did not fit. */
size_t fw_end(fw_writer *w);

/* COBS alone, without type, seq, CRC and delimiter. */
void fw_open(fw_writer *w, uint8_t *out, size_t size);
size_t fw_close(fw_writer *w);

/* Each writes one whole frame and returns its bytes; 0: it did not fit, or it
 * has more than FW_CHANNEL_MOST channels. */
size_t fw_put_hello(uint8_t *out, size_t size, uint8_t seq, const fw_hello *h);
size_t fw_put_sample(uint8_t *out, size_t size, uint8_t seq, const fw_sample *s);
size_t fw_put_fault(uint8_t *out, size_t size, uint8_t seq, const fw_fault *f);
size_t fw_put_pong(uint8_t *out, size_t size, uint8_t seq, const fw_pong *p);
size_t fw_put_ask_hello(uint8_t *out, size_t size, uint8_t seq);
size_t fw_put_set_rate(uint8_t *out, size_t size, uint8_t seq, uint32_t rate_mhz);
size_t fw_put_ping(uint8_t *out, size_t size, uint8_t seq, uint32_t token);
size_t fw_put_frame(uint8_t *out, size_t size, uint8_t type, uint8_t seq,
                    const uint8_t *body, size_t n);

/* ---- reading ---- */
enum fw_result {
	FW_NONE = 0,    /* no frame yet */
	FW_FRAME = 1,   /* a good frame */
	FW_DAMAGED = 2, /* bad COBS, bad CRC or too short; dropped */
	FW_OVERSIZE = 3 /* longer than the buffer; dropped */
};

typedef struct {
	uint8_t type, seq;
	const uint8_t *body; /* in the decoder's buffer, until the next byte */
	size_t n;
} fw_frame;

/* A decoder takes one byte at a time. Its buffer holds one frame's content and
 * belongs to the caller: FW_CONTENT_MOST bytes to read everything; a logger,
 * which reads only the host's short requests, can do with 16. */
typedef struct {
	uint8_t *buf;
	size_t size, n; /* room, content so far */
	uint8_t left;   /* bytes to come in the open block */
	uint8_t zero;   /* a zero comes before the next block */
	uint8_t open;   /* a frame is under way */
	uint8_t over;   /* it does not fit */
	uint8_t reading; /* 0 until the first delimiter */
} fw_decoder;

/* aligned: the stream starts at the start of a frame; otherwise the bytes
 * before the first delimiter are dropped without a word. */
void fw_decoder_init(fw_decoder *d, uint8_t *buf, size_t size, int aligned);
int fw_decode(fw_decoder *d, uint8_t byte, fw_frame *f); /* enum fw_result */

enum fw_body {
	FW_OK = 0,
	FW_BODY_SHORT = 1,
	FW_BODY_RANGE = 2,  /* a count too great, or an index twice */
	FW_BODY_VERSION = 3 /* another protocol version: nothing else was read */
};

/* Each reads a frame's body; enum fw_body. Bytes past the known fields are
 * allowed and ignored: a newer minor revision appends. channels and values
 * have room for FW_CHANNEL_MOST and are what the result points to. */
int fw_get_hello(const fw_frame *f, fw_hello *h, fw_channel *channels);
int fw_get_sample(const fw_frame *f, fw_sample *s, int32_t *values);
int fw_get_fault(const fw_frame *f, fw_fault *out);
int fw_get_pong(const fw_frame *f, fw_pong *out);
int fw_get_set_rate(const fw_frame *f, uint32_t *rate_mhz);
int fw_get_ping(const fw_frame *f, uint32_t *token);

/* ---- following seq, for receivers ---- */
typedef struct {
	uint8_t known, next;
	uint8_t last_type, last_seq;
	uint16_t last_crc; /* stands for the body: told apart but 1 in 65536 */
	size_t last_n;
	uint8_t booted;
	uint64_t board;
	uint16_t boot;
	uint32_t lost, repeated;
} fw_follower; /* start with all zero */

/* Takes each good frame; returns 1 when it is new, 0 when it is a repeat. */
int fw_follow(fw_follower *w, const fw_frame *f);

#ifdef __cplusplus
}
#endif
#endif
