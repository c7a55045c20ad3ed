/* session.h -- what a struct firstfetch holds; private to this folder.
 *
 * Owns: the arena of all descriptions loaded through it.
 */
#ifndef API_SESSION_H
#define API_SESSION_H

#include "base/arena.h"

struct firstfetch {
  struct arena arena;
};

#endif
