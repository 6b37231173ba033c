/* fillwire: see fillwire.h and README.md. */
#include "fillwire.h"

/* Bit by bit: 40 bytes take some 320 steps. Where that is too slow, avr-libc's
 * _crc_xmodem_update, started at 0xFFFF, is the same CRC (_crc_ccitt_update is
 * not). */
uint16_t fw_crc16(uint16_t crc, const uint8_t *p, size_t n)
{
	while (n-- > 0) {
		int bit;
		crc = (uint16_t)(crc ^ (uint16_t)((uint16_t)*p++ << 8));
		for (bit = 0; bit < 8; bit++) {
			uint16_t carry = crc & 0x8000u;
			crc = (uint16_t)(crc << 1);
			if (carry)
				crc = (uint16_t)(crc ^ 0x1021u);
		}
	}
	return crc;
}

/* ---- writing ---- */

static void store(fw_writer *w, uint8_t v)
{
	if (w->n < w->size)
		w->out[w->n++] = v;
	else
		w->full = 1;
}

static void open_block(fw_writer *w)
{
	w->code_at = w->n;
	store(w, 0);
}

static void close_block(fw_writer *w)
{
	if (!w->full)
		w->out[w->code_at] = (uint8_t)(w->n - w->code_at);
}

/* COBS: a block is a code byte and up to 254 bytes that are not zero. */
static void stuff(fw_writer *w, uint8_t v)
{
	if (w->n - w->code_at == 255) { /* full, and more comes */
		close_block(w);
		open_block(w);
	}
	if (v == 0) {
		close_block(w);
		open_block(w);
	} else {
		store(w, v);
	}
}

void fw_open(fw_writer *w, uint8_t *out, size_t size)
{
	w->out = out;
	w->size = size;
	w->n = 0;
	w->crc = 0xFFFFu;
	w->full = 0;
	open_block(w);
}

size_t fw_close(fw_writer *w)
{
	close_block(w);
	return w->full ? 0 : w->n;
}

void fw_begin(fw_writer *w, uint8_t *out, size_t size, uint8_t type, uint8_t seq)
{
	fw_open(w, out, size);
	fw_u8(w, type);
	fw_u8(w, seq);
}

void fw_u8(fw_writer *w, uint8_t v)
{
	w->crc = fw_crc16(w->crc, &v, 1);
	stuff(w, v);
}

void fw_u16(fw_writer *w, uint16_t v)
{
	fw_u8(w, (uint8_t)(v & 0xFFu));
	fw_u8(w, (uint8_t)(v >> 8));
}

void fw_u32(fw_writer *w, uint32_t v)
{
	fw_u16(w, (uint16_t)(v & 0xFFFFu));
	fw_u16(w, (uint16_t)(v >> 16));
}

void fw_u64(fw_writer *w, uint64_t v)
{
	fw_u32(w, (uint32_t)(v & 0xFFFFFFFFu));
	fw_u32(w, (uint32_t)(v >> 32));
}

void fw_bytes(fw_writer *w, const uint8_t *p, size_t n)
{
	while (n-- > 0)
		fw_u8(w, *p++);
}

size_t fw_end(fw_writer *w)
{
	uint16_t crc = w->crc;
	fw_u16(w, crc);
	close_block(w);
	store(w, 0); /* the delimiter */
	return w->full ? 0 : w->n;
}

size_t fw_put_hello(uint8_t *out, size_t size, uint8_t seq, const fw_hello *h)
{
	fw_writer w;
	uint8_t i;
	if (h->n > FW_CHANNEL_MOST)
		return 0;
	fw_begin(&w, out, size, FW_HELLO, seq);
	fw_u8(&w, h->protocol);
	fw_u8(&w, h->restart);
	fw_u64(&w, h->board);
	fw_u16(&w, h->boot);
	fw_u8(&w, h->firm_major);
	fw_u8(&w, h->firm_minor);
	fw_u32(&w, h->rate_mhz);
	fw_u8(&w, h->n);
	for (i = 0; i < h->n; i++) {
		const fw_channel *c = &h->channels[i];
		fw_u8(&w, c->index);
		fw_u8(&w, c->kind);
		fw_u32(&w, (uint32_t)c->scale);
		fw_bytes(&w, (const uint8_t *)c->label, FW_LABEL_MOST);
	}
	return fw_end(&w);
}

size_t fw_put_sample(uint8_t *out, size_t size, uint8_t seq, const fw_sample *s)
{
	fw_writer w;
	uint8_t i;
	if (s->n > FW_CHANNEL_MOST)
		return 0;
	fw_begin(&w, out, size, FW_SAMPLE, seq);
	fw_u32(&w, s->time_ms);
	fw_u16(&w, s->flags);
	fw_u8(&w, s->n);
	for (i = 0; i < s->n; i++)
		fw_u32(&w, (uint32_t)s->values[i]);
	return fw_end(&w);
}

size_t fw_put_fault(uint8_t *out, size_t size, uint8_t seq, const fw_fault *f)
{
	fw_writer w;
	fw_begin(&w, out, size, FW_FAULT, seq);
	fw_u32(&w, f->time_ms);
	fw_u8(&w, f->code);
	fw_u8(&w, f->channel);
	fw_u32(&w, (uint32_t)f->detail);
	return fw_end(&w);
}

size_t fw_put_pong(uint8_t *out, size_t size, uint8_t seq, const fw_pong *p)
{
	fw_writer w;
	fw_begin(&w, out, size, FW_PONG, seq);
	fw_u32(&w, p->token);
	fw_u32(&w, p->time_ms);
	return fw_end(&w);
}

size_t fw_put_ask_hello(uint8_t *out, size_t size, uint8_t seq)
{
	fw_writer w;
	fw_begin(&w, out, size, FW_ASK_HELLO, seq);
	return fw_end(&w);
}

size_t fw_put_set_rate(uint8_t *out, size_t size, uint8_t seq, uint32_t rate_mhz)
{
	fw_writer w;
	fw_begin(&w, out, size, FW_SET_RATE, seq);
	fw_u32(&w, rate_mhz);
	return fw_end(&w);
}

size_t fw_put_ping(uint8_t *out, size_t size, uint8_t seq, uint32_t token)
{
	fw_writer w;
	fw_begin(&w, out, size, FW_PING, seq);
	fw_u32(&w, token);
	return fw_end(&w);
}

size_t fw_put_frame(uint8_t *out, size_t size, uint8_t type, uint8_t seq,
                    const uint8_t *body, size_t n)
{
	fw_writer w;
	if (n > FW_BODY_MOST)
		return 0;
	fw_begin(&w, out, size, type, seq);
	fw_bytes(&w, body, n);
	return fw_end(&w);
}

/* ---- reading ---- */

static uint16_t get16(const uint8_t *p)
{
	return (uint16_t)(p[0] | (uint16_t)((uint16_t)p[1] << 8));
}

static uint32_t get32(const uint8_t *p)
{
	return (uint32_t)get16(p) | (uint32_t)get16(p + 2) << 16;
}

static uint64_t get64(const uint8_t *p)
{
	return (uint64_t)get32(p) | (uint64_t)get32(p + 4) << 32;
}

/* Without leaning on what a compiler makes of an out-of-range cast. */
static int32_t get_i32(const uint8_t *p)
{
	uint32_t u = get32(p);
	if (u < UINT32_C(0x80000000))
		return (int32_t)u;
	return (int32_t)(u - UINT32_C(0x80000000)) + FW_VALUE_MISSING;
}

static void start_frame(fw_decoder *d)
{
	d->n = 0;
	d->left = d->zero = d->open = d->over = 0;
}

void fw_decoder_init(fw_decoder *d, uint8_t *buf, size_t size, int aligned)
{
	d->buf = buf;
	d->size = size;
	d->reading = aligned ? 1 : 0;
	start_frame(d);
}

static void keep(fw_decoder *d, uint8_t byte)
{
	if (d->n < d->size)
		d->buf[d->n++] = byte;
	else
		d->over = 1;
}

static int finish(fw_decoder *d, fw_frame *f)
{
	if (d->over)
		return FW_OVERSIZE;
	if (d->left != 0 || d->n < 4)
		return FW_DAMAGED;
	if (fw_crc16(0xFFFFu, d->buf, d->n - 2) != get16(d->buf + d->n - 2))
		return FW_DAMAGED;
	f->type = d->buf[0];
	f->seq = d->buf[1];
	f->body = d->buf + 2;
	f->n = d->n - 4;
	return FW_FRAME;
}

int fw_decode(fw_decoder *d, uint8_t byte, fw_frame *f)
{
	int result = FW_NONE;
	if (!d->reading) {
		d->reading = byte == 0;
	} else if (byte == 0) {
		if (d->open)
			result = finish(d, f);
		start_frame(d);
	} else if (d->left > 0) {
		keep(d, byte);
		d->left--;
	} else { /* a code byte */
		if (d->zero)
			keep(d, 0);
		d->open = 1;
		d->left = (uint8_t)(byte - 1);
		d->zero = byte != 0xFF;
	}
	return result;
}

static int get_channels(const fw_frame *f, fw_hello *h, fw_channel *channels)
{
	uint8_t n = f->body[18], i, j;
	if (n > FW_CHANNEL_MOST)
		return FW_BODY_RANGE;
	if (f->n < FW_HELLO_BODY(n))
		return FW_BODY_SHORT;
	for (i = 0; i < n; i++) {
		const uint8_t *row = f->body + FW_HELLO_BODY(i);
		channels[i].index = row[0];
		channels[i].kind = row[1];
		channels[i].scale = get_i32(row + 2);
		for (j = 0; j < FW_LABEL_MOST; j++)
			channels[i].label[j] = (char)row[6 + j];
		for (j = 0; j < i; j++)
			if (channels[j].index == channels[i].index)
				return FW_BODY_RANGE;
	}
	h->n = n;
	h->channels = channels;
	return FW_OK;
}

int fw_get_hello(const fw_frame *f, fw_hello *h, fw_channel *channels)
{
	h->n = 0;
	h->channels = channels;
	if (f->n < 1)
		return FW_BODY_SHORT;
	h->protocol = f->body[0];
	if (h->protocol != FW_VERSION)
		return FW_BODY_VERSION;
	if (f->n < FW_HELLO_BODY(0))
		return FW_BODY_SHORT;
	h->restart = f->body[1];
	h->board = get64(f->body + 2);
	h->boot = get16(f->body + 10);
	h->firm_major = f->body[12];
	h->firm_minor = f->body[13];
	h->rate_mhz = get32(f->body + 14);
	return get_channels(f, h, channels);
}

int fw_get_sample(const fw_frame *f, fw_sample *s, int32_t *values)
{
	uint8_t n, i;
	s->n = 0;
	s->values = values;
	if (f->n < FW_SAMPLE_BODY(0))
		return FW_BODY_SHORT;
	n = f->body[6];
	if (n > FW_CHANNEL_MOST)
		return FW_BODY_RANGE;
	if (f->n < FW_SAMPLE_BODY(n))
		return FW_BODY_SHORT;
	s->time_ms = get32(f->body);
	s->flags = get16(f->body + 4);
	s->n = n;
	for (i = 0; i < n; i++)
		values[i] = get_i32(f->body + FW_SAMPLE_BODY(i));
	return FW_OK;
}

int fw_get_fault(const fw_frame *f, fw_fault *out)
{
	if (f->n < 10)
		return FW_BODY_SHORT;
	out->time_ms = get32(f->body);
	out->code = f->body[4];
	out->channel = f->body[5];
	out->detail = get_i32(f->body + 6);
	return FW_OK;
}

int fw_get_pong(const fw_frame *f, fw_pong *out)
{
	if (f->n < 8)
		return FW_BODY_SHORT;
	out->token = get32(f->body);
	out->time_ms = get32(f->body + 4);
	return FW_OK;
}

static int get_one(const fw_frame *f, uint32_t *v)
{
	if (f->n < 4)
		return FW_BODY_SHORT;
	*v = get32(f->body);
	return FW_OK;
}

int fw_get_set_rate(const fw_frame *f, uint32_t *rate_mhz)
{
	return get_one(f, rate_mhz);
}

int fw_get_ping(const fw_frame *f, uint32_t *token)
{
	return get_one(f, token);
}

/* ---- following seq ---- */

/* Another start of the logger, or another logger: its seq begins anew. */
static int restarted(fw_follower *w, const fw_frame *f)
{
	uint64_t board;
	uint16_t boot;
	int anew;
	if (f->n < 12)
		return 0;
	board = get64(f->body + 2);
	boot = get16(f->body + 10);
	anew = !w->booted || board != w->board || boot != w->boot ||
	       (boot == 0 && f->seq == 0);
	w->booted = 1;
	w->board = board;
	w->boot = boot;
	return anew;
}

int fw_follow(fw_follower *w, const fw_frame *f)
{
	uint16_t crc;
	if (f->type == 0x80) /* a run log was opened: nobody listened before */
		w->known = 0;
	if (f->type < 0x01 || f->type > 0x3F)
		return 1;
	crc = fw_crc16(0xFFFFu, f->body, f->n);
	if (w->known && f->type == w->last_type && f->seq == w->last_seq &&
	    f->n == w->last_n && crc == w->last_crc) {
		w->repeated++;
		return 0;
	}
	if (f->type == FW_HELLO && restarted(w, f))
		w->known = 0;
	if (w->known)
		w->lost += (uint8_t)(f->seq - w->next);
	w->known = 1;
	w->next = (uint8_t)(f->seq + 1);
	w->last_type = f->type;
	w->last_seq = f->seq;
	w->last_n = f->n;
	w->last_crc = crc;
	return 1;
}
