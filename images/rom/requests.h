/* requests.h -- what the boot ROM does when it is asked.
 */
#ifndef ROM_REQUESTS_H
#define ROM_REQUESTS_H

#include <stdint.h>

#include "board/protocol.h"

struct answer {
  uint32_t length;
  uint32_t vectors; /* to be launched once the answer has left; 0: no */
  uint8_t content[PROTOCOL_REPLY_HEAD + PROTOCOL_MOST_DATA];
};

/* Carry out the request, put its result behind the head of the answer, and
 * return the status. */
uint8_t carry_out(const uint8_t *content, uint32_t length, struct answer *a);

/* Some 40 cycles: whoever waits for something slow need not load the bus. */
void pause(void);

#endif
