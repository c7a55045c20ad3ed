/* xml.h -- hostile texts in XML 1.0.
 *
 * What would be markup is written as a reference, line ends too, so that an
 * attribute keeps them; control characters, which XML 1.0 cannot hold, and
 * bytes that are no UTF-8 become '?'. The same text is right between tags and
 * in an attribute between double quotes.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_XML_H
#define REPORT_XML_H

#include <stdio.h>

void xml_text(FILE *to, const char *text);

/* ` NAME="TEXT"`; the name is our own. */
void xml_attribute(FILE *to, const char *name, const char *text);

#endif
