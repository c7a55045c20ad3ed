#include "describe/route.h"

const char *const route_action_words[] = {
#define X(name, word, means, milliseconds, sentence) word,
#include "describe/route_actions.def"
#undef X
    NULL};

const char *const route_action_sentences[] = {
#define X(name, word, means, milliseconds, sentence) sentence,
#include "describe/route_actions.def"
#undef X
};

const char *const route_means_words[] = {
#define X(name, word, sentence) word,
#include "describe/route_means.def"
#undef X
    NULL};

const char *const route_means_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/route_means.def"
#undef X
};

const char *const route_incoming_words[] = {
#define X(name, word, sentence) word,
#include "describe/route_incoming.def"
#undef X
    NULL};

const char *const route_incoming_sentences[] = {
#define X(name, word, sentence) sentence,
#include "describe/route_incoming.def"
#undef X
};

const char *const route_end_words[] = {[ROUTE_FOUND] = "found",
                                       [ROUTE_EXHAUSTED] = "exhausted",
                                       [ROUTE_LIMIT] = "limit"};

static const struct {
  uint32_t means;
  ps_t time;
} actions[] = {
#define X(name, word, means, milliseconds, sentence)                          \
  {means, milliseconds * PS_PER_MS},
#include "describe/route_actions.def"
#undef X
};

uint32_t route_action_means(enum route_action action)
{
  return actions[action].means;
}

ps_t route_action_time(enum route_action action)
{
  return actions[action].time;
}
