/* ecc.h -- 8 check bits for 64 data bits: one wrong bit is corrected, two are
 * found.
 *
 * The check bits are the sum (exclusive or) of one column of 8 bits for each
 * data bit that is 1. The columns are ours, after a well-known rule (M. Y.
 * Hsiao, "A Class of Optimal Minimum Odd-weight-column SEC-DED Codes", IBM
 * Journal of Research and Development 14, 1970; from memory): all are
 * different and have an odd number of ones.
 *
 *   data bits 0..55   the 56 columns with three ones, ascending as numbers
 *   data bits 56..63  00011111 and its rotations to the left
 *   check bits 0..7   one one each
 *
 * Hence a wrong bit leaves a syndrome that is its own column; two wrong bits
 * leave one with an even number of ones, which is none.
 *
 * The rule a reader would get wrong: all zeros is a code word, all ones is
 * none: 64 data bits of ones have the check bits 0. Erased cells are 72 ones,
 * and whoever reads them knows them for what they are (memory.h).
 *
 * Not modelled: three and more wrong bits are found only where the syndrome
 * happens to be no column; else they are taken for one, as in a real part.
 *
 * Owns: nothing.
 */
#ifndef BASE_ECC_H
#define BASE_ECC_H

#include <stdint.h>

enum ecc_result { ECC_CLEAN, ECC_CORRECTED, ECC_BAD };

uint8_t ecc_check(uint64_t data);

/* Mend `data` and `check` if one bit of the 72 is wrong; else they stay. */
enum ecc_result ecc_decode(uint64_t *data, uint8_t *check);

#endif
