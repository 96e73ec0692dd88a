/* The style of report.html: a constant text, without anything of the document.
 */
#ifndef REPORT_HTML_STYLE_H
#define REPORT_HTML_STYLE_H

extern const char html_style[];

#endif
