/* junit.h -- verdicts as JUnit-style XML, for continuous integration.
 *
 * No standard rules it. What is written is what every reader takes:
 * testsuites > testsuite > properties, testcase > failure or error. A suite is
 * a case on a part; a test is an expectation, a `never` or a bound of a
 * measure. The properties of a suite hold the facts: part, starts, findings,
 * how many assumed numbers.
 *
 * The rule a reader would get wrong: times are simulated seconds. Nothing is
 * said of how long the host took, and no date: same run, same bytes.
 *
 *   struct junit document;
 *   junit_begin(&document);
 *   junit_add(&document, result);     once a run
 *   junit_write(&document, stream);
 *   junit_free(&document);
 *
 * Owns: the suites written so far. Borrows: nothing.
 */
#ifndef REPORT_JUNIT_H
#define REPORT_JUNIT_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "describe/result.h"

struct junit {
  FILE *suites; /* into text */
  char *text;
  size_t size;
  uint32_t tests, failures, errors;
};

void junit_begin(struct junit *document);
void junit_add(struct junit *document, const struct result *result);
/* No more can be added. False if the stream has an error. */
bool junit_write(struct junit *document, FILE *to);
void junit_free(struct junit *document);

#endif
