#include "chip/serial.h"

void serial_init(struct serial *s)
{
  *s = (struct serial){0};
}

uint8_t serial_take(struct serial *s)
{
  uint8_t byte = s->received ? s->byte : 0;
  s->received = false;
  return byte;
}
