/* uart.h: the line to the host. Nothing here waits: what does not fit is not
 * sent, and the caller is told. */
#ifndef UART_H
#define UART_H

#include <stddef.h>
#include <stdint.h>

void uart_start(void);
uint8_t uart_put(const uint8_t *p, size_t n); /* all of it, or nothing and 0 */
int16_t uart_get(void);                       /* a byte, or -1 */

#endif
