/* vectors.S -- vector table of the boot ROM. */
#include "vectors.inc"

  vector_table rom_entry
