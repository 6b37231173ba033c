/* main.c: the logger. It sends what it measured and answers three requests; it
 * drives nothing. README.md has the wiring, ../README.md the protocol.
 *
 * One loop, which sleeps between its tasks. No task waits for the line, the
 * host or a chip that does not answer.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "ambient.h"
#include "board.h"
#include "boot.h"
#include "clock.h"
#include "pressure.h"
#include "spi.h"
#include "uart.h"

#define HELLO_EVERY_MS 5000u
#define FAULT_EVERY_MS 1000u
#define SLOW_EVERY_MS 500u /* supply, ambient */
#define FIRST_MS 250u      /* the chips' first conversion after they were set up */

/* A test point for an oscilloscope: high while the loop works. */
#define PIN_BUSY PD4

static uint8_t frame[FW_FRAME_SIZE(FW_HELLO_BODY(CHANNELS))];
static uint8_t request[16]; /* requests are short */
static fw_decoder decoder;
static fw_hello hello;
static uint8_t seq;

static uint16_t period_ms = RATE_PERIOD_MS;
static uint32_t sample_due, hello_due, slow_due;
static uint32_t probe_due[PROBES]; /* when each chip may be read again */
static tc_reading readings[PROBES];
static int32_t ambient = FW_VALUE_MISSING;
static uint16_t flags; /* for the next sample */

/* What is wrong with each channel. A memory that does not hold the count of
 * starts is no fault of a channel: boot 0 in the hello tells it. */
static struct {
	uint8_t code;
	int32_t detail;
	uint32_t due;
} faults[CHANNELS];

static uint8_t is_due(uint32_t at, uint32_t now)
{
	return (int32_t)(now - at) >= 0;
}

/* Puts the frame on the line, if there is room: seq counts what was sent. */
static uint8_t sent(size_t n)
{
	if (n == 0 || !uart_put(frame, n))
		return 0;
	seq++;
	return 1;
}

static uint8_t send_hello(void)
{
	/* Without a count of starts seq 0 marks the first hello, and only it. */
	if (hello.boot == 0 && seq == 0 && hello_due != 0)
		return 0;
	hello.rate_mhz = 1000000UL / period_ms;
	return sent(fw_put_hello(frame, sizeof frame, seq, &hello));
}

/* ---- requests ---- */

static uint8_t hello_asked, pong_asked;
static uint32_t pong_token;

static void set_rate(uint32_t rate_mhz)
{
	uint32_t p = rate_mhz == 0 ? PERIOD_MOST_MS : (1000000UL + rate_mhz / 2u) / rate_mhz;
	if (p < PERIOD_LEAST_MS)
		p = PERIOD_LEAST_MS;
	if (p > PERIOD_MOST_MS)
		p = PERIOD_MOST_MS;
	period_ms = (uint16_t)p;
	sample_due = clock_ms() + p;
	hello_asked = 1;
}

static void hear(void)
{
	fw_frame f;
	uint32_t v;
	int16_t byte;
	while ((byte = uart_get()) >= 0) {
		if (fw_decode(&decoder, (uint8_t)byte, &f) != FW_FRAME)
			continue;
		if (f.type == FW_ASK_HELLO) {
			hello_asked = 1;
		} else if (f.type == FW_SET_RATE && fw_get_set_rate(&f, &v) == FW_OK) {
			set_rate(v);
		} else if (f.type == FW_PING && fw_get_ping(&f, &v) == FW_OK) {
			pong_asked = 1;
			pong_token = v;
		}
	}
}

static void answer(uint32_t now)
{
	if (is_due(hello_due, now) || hello_asked) {
		if (send_hello()) {
			hello_due = now + HELLO_EVERY_MS;
			hello_asked = 0;
		}
	}
	if (pong_asked) {
		fw_pong p;
		p.token = pong_token;
		p.time_ms = now;
		if (sent(fw_put_pong(frame, sizeof frame, seq, &p)))
			pong_asked = 0;
	}
}

/* ---- measuring ---- */

static void found(uint8_t at, uint8_t code, int32_t detail, uint32_t now)
{
	if (code != 0 && faults[at].code != code)
		faults[at].due = now;
	faults[at].code = code;
	faults[at].detail = detail;
}

static void read_probes(uint32_t now)
{
	uint8_t i;
	for (i = 0; i < PROBES; i++) {
		const tc_family *f = probes[i].family;
		tc_reading *r = &readings[i];
		if (!is_due(probe_due[i], now))
			continue;
		f->read(probes[i].select, r);
		/* A chip that did not answer was set up again: until its first
		 * conversion is done it would give zeros. */
		probe_due[i] = now + (r->state == FW_FAULT_ADC ? FIRST_MS : f->rest_ms);
		found((uint8_t)(AT_PROBES + i), r->state, r->detail, now);
		if (i == 0)
			found(AT_JUNCTION, r->junction_mc == FW_VALUE_MISSING ? FW_FAULT_ADC : 0, 0, now);
	}
}

static void sample(uint32_t now)
{
	int32_t values[CHANNELS];
	fw_sample s;
	uint8_t i;
	s.time_ms = now;
	values[AT_PRESSURE] = pressure_counts();
	read_probes(now);
	for (i = 0; i < PROBES; i++)
		values[AT_PROBES + i] = readings[i].nanovolt;
	values[AT_JUNCTION] = readings[0].junction_mc;
	values[AT_AMBIENT] = ambient;
	flags &= (uint16_t)~FW_FLAG_COLD_JUNCTION_FAULT;
	if (values[AT_JUNCTION] == FW_VALUE_MISSING)
		flags |= FW_FLAG_COLD_JUNCTION_FAULT;
	s.flags = flags;
	s.n = CHANNELS;
	s.values = values;
	if (sent(fw_put_sample(frame, sizeof frame, seq, &s)))
		flags &= (uint16_t)~FW_FLAG_OVERRUN;
	else
		flags |= FW_FLAG_OVERRUN;
}

static void measure(uint32_t now)
{
	if (!is_due(sample_due, now))
		return;
	sample_due += period_ms;
	if (is_due(sample_due, now)) { /* a whole period was missed: don't run after it */
		flags |= FW_FLAG_OVERRUN;
		sample_due = now + period_ms;
	}
	sample(now);
}

/* What changes slowly, between two samples. */
static void look_slowly(uint32_t now)
{
	if (!is_due(slow_due, now))
		return;
	slow_due = now + SLOW_EVERY_MS;
	ambient = ambient_mc();
	found(AT_AMBIENT, ambient == FW_VALUE_MISSING ? FW_FAULT_ADC : 0, 0, now);
	flags &= (uint16_t)~FW_FLAG_SUPPLY_LOW;
	if (supply_mv() < SUPPLY_LEAST_MV)
		flags |= FW_FLAG_SUPPLY_LOW;
}

static void tell_faults(uint32_t now)
{
	uint8_t i;
	for (i = 0; i < CHANNELS; i++) {
		fw_fault f;
		if (faults[i].code == 0 || !is_due(faults[i].due, now))
			continue;
		f.time_ms = now;
		f.code = faults[i].code;
		f.channel = channels[i].index;
		f.detail = faults[i].detail;
		if (sent(fw_put_fault(frame, sizeof frame, seq, &f)))
			faults[i].due = now + FAULT_EVERY_MS;
	}
}

/* ---- start ---- */

static void begin(void)
{
	static const uint8_t delimiter = 0;
	uint8_t i;
	hello.protocol = FW_VERSION;
	hello.restart = boot_cause();
	hello.board = BOARD_NUMBER;
	hello.boot = boot_count();
	hello.firm_major = FIRM_MAJOR;
	hello.firm_minor = FIRM_MINOR;
	hello.n = CHANNELS;
	hello.channels = channels;
	fw_decoder_init(&decoder, request, sizeof request, 1);
	uart_start();
	spi_start();
	pressure_start();
	ambient_start();
	for (i = 0; i < PROBES; i++) {
		probes[i].family->start(probes[i].select);
		tc_fail(&readings[i], 0, 0); /* nothing was read yet */
	}
	clock_start();
	sei();
	(void)uart_put(&delimiter, 1); /* ends what a restart has cut off */
	(void)send_hello();
}

int main(void)
{
	uint32_t now;
	uint8_t i;
	DDRD |= (uint8_t)(1u << PIN_BUSY);
	wdt_enable(WDTO_500MS);
	begin();
	now = clock_ms();
	hello_due = now + HELLO_EVERY_MS;
	sample_due = slow_due = now + FIRST_MS;
	for (i = 0; i < PROBES; i++)
		probe_due[i] = sample_due; /* whatever rate is asked for meanwhile */
	SMCR = 0; /* idle: the timer and the UART go on */
	for (;;) {
		PORTD |= (uint8_t)(1u << PIN_BUSY);
		wdt_reset();
		hear();
		now = clock_ms();
		measure(now);
		answer(now);
		tell_faults(now);
		/* Not right before a sample is due, so that it is taken on time. */
		if (!is_due(sample_due - 4u, now))
			look_slowly(now);
		PORTD &= (uint8_t)~(1u << PIN_BUSY);
		sleep_mode(); /* until the next millisecond, or a byte */
	}
}
