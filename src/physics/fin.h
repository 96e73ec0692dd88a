/* Fin and tube: how much of the heat that the plate could give reaches the fluid.
 *
 * A flat plate with tubes W apart, D wide outside, its heat flowing along the sheet to the tube,
 * through the bond and the wall's inner surface into the fluid.
 * Source: Hottel and Whillier 1958, Bliss 1959, as in Duffie and Beckman ch. 6 (from memory).
 */
#ifndef PHYSICS_FIN_H
#define PHYSICS_FIN_H

struct fin {
    double spacing_m;         /* W, >= outside */
    double outside_m;         /* D, > 0 */
    double inside_m;          /* > 0 */
    double conductivity_W_mK; /* of the sheet, > 0 */
    double thickness_m;       /* of the sheet, > 0 */
    double bond_W_mK;         /* per metre of tube, > 0; INFINITY: perfect */
    double film_W_m2K; /* from the tube's inner surface to the fluid, > 0; INFINITY: perfect */
};

/* Efficiency of the sheet between two tubes: tanh(x)/x, x = m (W - D)/2, m = sqrt(U/(k d)).
 * In: loss_W_m2K  of the plate, >= 0 */
double fin_efficiency(const struct fin *fin, double loss_W_m2K);

/* Resistance from the mean plate to the fluid, m2 K/W of plate: finite also without any loss.
 * In: loss_W_m2K  of the plate, >= 0
 * With it, F' = 1/(1 + U R). */
double fin_resistance_m2K_W(const struct fin *fin, double loss_W_m2K);

/* F': heat gained over the heat that a plate as warm as the fluid would give. */
double fin_collector_efficiency(const struct fin *fin, double loss_W_m2K);

/* F_R: the same with the fluid as warm as where it enters.
 * In: flow_W_m2K  mass flow times specific heat per m2 of plate, >= 0 (0 gives 0) */
double fin_removal(double collector_efficiency, double loss_W_m2K, double flow_W_m2K);

/* Resistance from the mean fluid (half of inlet and outlet) to the fluid's mean along its way,
 * added to fin_resistance: the fluid warms along a curve and not along a line. In: flow_W_m2K > 0
 */
double fin_curve_m2K_W(double collector_efficiency, double loss_W_m2K, double flow_W_m2K);

#endif
