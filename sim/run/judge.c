#include "run/judge.h"

#include <string.h>

void judge_init(struct judge *j, struct arena *arena)
{
  *j = (struct judge){.arena = arena};
}

void judge_add(struct judge *j, const struct judgement *what)
{
  if (j->count == j->room) {
    uint32_t room = j->room == 0 ? 16 : j->room * 2;
    struct judgement *list = arena_array(j->arena, room, sizeof(*list));
    if (j->count > 0) memcpy(list, j->list, j->count * sizeof(*list));
    j->list = list;
    j->room = room;
  }
  j->list[j->count++] = *what;
}
