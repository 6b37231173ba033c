/* uart.c: see uart.h. */
#include <avr/interrupt.h>
#include <avr/io.h>

#include "board.h"
#include "uart.h"

#define OUT_SIZE 256u /* uint8_t indices wrap by themselves; 255 bytes fit */
#define IN_SIZE 64u   /* a power of two */

/* With U2X 115200 baud come out 2.1 % fast at 16 MHz: within what a UART bears. */
#define DIVISOR ((F_CPU + 4u * BAUD) / (8u * BAUD) - 1u)

static uint8_t out[OUT_SIZE], in[IN_SIZE];
static volatile uint8_t out_head, out_tail, in_head, in_tail;

ISR(USART_UDRE_vect)
{
	if (out_tail == out_head) {
		UCSR0B &= (uint8_t)~(1u << UDRIE0);
		return;
	}
	UDR0 = out[out_tail];
	out_tail = (uint8_t)(out_tail + 1u);
}

ISR(USART_RX_vect)
{
	uint8_t byte = UDR0, next = (uint8_t)((in_head + 1u) % IN_SIZE);
	if (next == in_tail)
		return; /* full: the request is damaged, the host asks again */
	in[in_head] = byte;
	in_head = next;
}

void uart_start(void)
{
	UCSR0A = 1u << U2X0; /* before the divisor: some simulators look at it then */
	UBRR0 = DIVISOR;
	UCSR0C = 1u << UCSZ01 | 1u << UCSZ00;
	UCSR0B = 1u << RXEN0 | 1u << TXEN0 | 1u << RXCIE0;
}

uint8_t uart_put(const uint8_t *p, size_t n)
{
	uint8_t head = out_head, room = (uint8_t)((unsigned)out_tail - head - 1u);
	if (n > room)
		return 0;
	while (n-- > 0) {
		out[head] = *p++;
		head = (uint8_t)(head + 1u);
	}
	out_head = head;
	UCSR0B |= (uint8_t)(1u << UDRIE0);
	return 1;
}

int16_t uart_get(void)
{
	uint8_t byte;
	if (in_tail == in_head)
		return -1;
	byte = in[in_tail];
	in_tail = (uint8_t)((in_tail + 1u) % IN_SIZE);
	return byte;
}
