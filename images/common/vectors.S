/* vectors.S -- vector table of the images that begin in start.S. */
#include "vectors.inc"

  vector_table start
