/* The one way by which a text enters report.html.
 */
#ifndef REPORT_HTML_TEXT_H
#define REPORT_HTML_TEXT_H

#include "base/text.h"

/* Appends `string` so that it is text and nothing else, between tags and inside of a double-quoted
 * attribute alike: & < > " ' become character references, bytes that are no UTF-8 become U+FFFD,
 * control characters become blanks. NULL appends nothing. No text of a document goes anywhere else:
 * not into the style, not into the name of a tag, an attribute or a link. */
void html_add(struct text *out, const char *string);

/* The same with units and minus signs as people read them (result/prose.h). */
void html_prose(struct text *out, const char *string);

/* Appends <tag class="class">text</tag>; class may be NULL. Tag and class are our own words. */
void html_element(struct text *out, const char *tag, const char *class, const char *text);
void html_prose_element(struct text *out, const char *tag, const char *class, const char *text);

/* Begins a page: all up to the title, with the policy that lets nothing be run or loaded. The
 * caller goes on inside of <head>. */
void html_head_begin(struct text *out, const char *title);

#endif
