/* Comparison of computed with expected numbers; the running test fails with the row's name. */
#ifndef AID_NEAR_H
#define AID_NEAR_H

/* |got - want| <= absolute; two infinities of one sign agree, NaN never does. */
void aid_near(const char *name, double got, double want, double absolute);

/* |got - want| <= relative * |want|. */
void aid_near_relative(const char *name, double got, double want, double relative);

/* Digits in which got agrees with want: -log10 of the relative deviation (absolute where want is
 * 0), at most 15; 0 or less, or -99 for NaN, where none agrees. */
double aid_near_digits(double got, double want);

#endif
