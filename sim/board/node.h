/* node.h -- one node of a circuit: voltages behind resistances that meet.
 *
 *   V = sum(V_i / R_i) / sum(1 / R_i)       I_i = (V_i - V) / R_i
 *
 * A source without resistance fixes the node; of several, the first counts.
 * Currents and powers are rounded to the nearest nA and nW; conductances are
 * kept in pS, so a current is wrong by less than 1 in 10^4 of itself even
 * behind 100 Mohm, and by less than 1 in 10^10 behind 35 ohm.
 *
 * Owns: its fields.
 */
#ifndef BOARD_NODE_H
#define BOARD_NODE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

#define NODE_MAX_SOURCES 20

/* A diode takes part only where current would flow the way it lets it. */
enum node_flow { NODE_BOTH_WAYS, NODE_FROM_NODE, NODE_INTO_NODE };

struct node_source {
  int64_t uv, mohm;
  enum node_flow flow;
};

struct node {
  struct node_source sources[NODE_MAX_SOURCES];
  uint32_t count;
};

void node_add(struct node *n, int64_t uv, int64_t mohm, enum node_flow flow);

/* Voltage of the node; false if nothing leads into it. */
bool node_level(const struct node *n, int64_t *uv);

/* Current that source `i` sends into the node, nA; negative: it takes it. */
int64_t node_current(const struct node *n, uint32_t i);

/* Power in all the resistances, nW. */
int64_t node_power(const struct node *n);

/* I * I * R in nW. */
int64_t node_heat(int64_t na, int64_t mohm);

#endif
