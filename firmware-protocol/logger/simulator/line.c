/* line.c: carries the UART's bytes to a file, or to and from a pseudo-terminal
 * under a symbolic link, and spoils them by command. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <stdio.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include <simavr/avr_uart.h>

#include "bench.h"

#define IN_EVERY (HZ / 11520) /* cycles a byte at 115200 baud */

static FILE *file;
static int master = -1;
static const char *path;
static unsigned long bytes;
static uint8_t waiting[256];
static size_t have, given;
static avr_cycle_count_t next_in;

/* How long a host may be busy: the bench's time stands still meanwhile, which
 * the firmware can't notice. Without a host bytes are lost, as on a wire. */
#define PATIENCE_MS 5000

static void emit_to_host(uint8_t byte)
{
	struct pollfd p = {.fd = master, .events = POLLOUT};
	while (line_has_host() && write(master, &byte, 1) < 0) {
		if (errno == EIO)
			return; /* it has hung up just now */
		if (errno != EAGAIN || poll(&p, 1, PATIENCE_MS) <= 0) {
			perror("pseudo-terminal");
			return;
		}
	}
}

static void emit(uint8_t byte)
{
	if (file != NULL && fputc(byte, file) == EOF)
		perror("file");
	if (master >= 0)
		emit_to_host(byte);
}

static void sent(struct avr_irq_t *irq, uint32_t value, void *param)
{
	bench *b = param;
	uint8_t byte = (uint8_t)value;
	(void)irq;
	bytes++;
	if (b->ill.drop > 0 && chance(b) < b->ill.drop)
		return;
	if (b->ill.flip > 0 && chance(b) < b->ill.flip)
		byte = (uint8_t)(byte ^ 1u << (unsigned)(8 * chance(b)));
	emit(byte);
}

static int open_pty(const char *link)
{
	struct termios raw;
	char name[128];
	int slave;
	if (openpty(&master, &slave, name, NULL, NULL) != 0 || tcgetattr(slave, &raw) != 0)
		return 0;
	cfmakeraw(&raw);
	if (tcsetattr(slave, TCSANOW, &raw) != 0)
		return 0;
	close(slave); /* opened once, so that a hang-up can be seen */
	fcntl(master, F_SETFL, O_NONBLOCK);
	unlink(link);
	path = link;
	return symlink(name, link) == 0;
}

int line_open(bench *b, const char *to, const char *link)
{
	uint32_t flags = 0;
	if (to != NULL && (file = fopen(to, "wb")) == NULL) {
		perror(to);
		return 0;
	}
	if (link != NULL && !open_pty(link)) {
		perror(link);
		return 0;
	}
	avr_ioctl(b->avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags); /* no echo, no sleep */
	avr_irq_register_notify(avr_io_getirq(b->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), sent, b);
	return 1;
}

int line_has_host(void)
{
	struct pollfd p = {.fd = master, .events = POLLIN};
	return master < 0 || (poll(&p, 1, 0) >= 0 && !(p.revents & POLLHUP));
}

void line_tick(bench *b)
{
	ssize_t n;
	if (master >= 0 && given == have && (n = read(master, waiting, sizeof waiting)) > 0) {
		have = (size_t)n;
		given = 0;
	}
	if (given < have && b->avr->cycle >= next_in) {
		next_in = b->avr->cycle + IN_EVERY;
		avr_raise_irq(avr_io_getirq(b->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT), waiting[given++]);
	}
}

int line_say(const char *hex)
{
	unsigned v;
	have = given = 0;
	for (; hex[0] && hex[1]; hex += 2) {
		if (sscanf(hex, "%2x", &v) != 1)
			return 0;
		waiting[have++] = (uint8_t)v;
	}
	return have > 0;
}

void line_close(void)
{
	if (file != NULL && fclose(file) != 0)
		perror("file");
	if (path != NULL) {
		usleep(500000); /* what is unread when this side closes would be lost */
		unlink(path);
	}
}

unsigned long line_bytes(void)
{
	return bytes;
}
