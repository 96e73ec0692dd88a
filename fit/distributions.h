/* Quantiles and probabilities of the distributions used in judging a fit. All return NaN for
 * arguments outside the stated range; nothing prints and no error handler is called as long as
 * gsl_set_error_handler_off() was called at the start of the program.
 * Checked against R 4.2.2 (t, F, chi-square). */
#ifndef FIT_DISTRIBUTIONS_H
#define FIT_DISTRIBUTIONS_H

/* Quantiles: the value below which the share p lies, 0 < p < 1. dof > 0; for Student's t and for
 * the denominator of F it may be INFINITY. */
double fit_normal_quantile(double p);
double fit_t_quantile(double p, double dof);
double fit_f_quantile(double p, double dof1, double dof2);
double fit_chi2_quantile(double p, double dof);

/* The degrees of freedom whose t is that: the quantile turned about.
 * In:      p      0.5 < p < 1
 *          t      >= 0
 *          least  > 0: no fewer are looked for
 * Returns: dof >= least to a relative 1e-12; INFINITY where t is at most the normal quantile; NaN
 *          outside the range */
double fit_t_freedom(double p, double t, double least);

/* Probability of a value beyond: one-sided for F and chi-square (value >= 0), two-sided for t. */
double fit_t_beyond(double t, double dof);
double fit_f_above(double f, double dof1, double dof2);
double fit_chi2_above(double chi2, double dof);

#endif
