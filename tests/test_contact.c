/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/contact.h"

#include "support/near.h"

#include <criterion/criterion.h>

/* k 167 W/(m.K), slope 0.2, roughness 2 um, 1 MPa on a hardness of 1.1 GPa: 26,934 W/(m2.K), worked
 * by hand from the formula (the pressure ratio to 0.95 is 1.29032e-3). */
static const struct sm_surface worked = {
    .given = true, .roughness = 2e-6, .slope = 0.2, .conductivity = 167.0, .hardness = 1.1e9
};

Test(contact, asperities_as_worked_by_hand)
{
    NEAR_REL(contact_conductance(&worked, 1e6), 26934.0, 2e-5);
}

/* The formula is a power law of the pressure: twice the pressure, 2^0.95. */
Test(contact, asperities_carry_nearly_in_proportion_to_pressure)
{
    NEAR_REL(contact_conductance(&worked, 2e6) / contact_conductance(&worked, 1e6), pow(2.0, 0.95),
             1e-12);
}

/* Textbook table of joints in air: aluminium of 10 um at 1 atm of pressure, R" 2.75e-4 m2K/W, so
 * 3,636 W/(m2.K) (Incropera and DeWitt, table of contact resistances, value from memory; Cengel's
 * table says 3,640).  The book does not tell the slope, and such tables scatter by a factor of
 * three: that is all that is asked of the model. */
Test(contact, rough_aluminium_in_air_is_within_a_factor_of_three_of_the_table)
{
    const struct sm_surface aluminium = { .given = true,
                                          .roughness = 10e-6,
                                          .slope = 0.076 * pow(10.0, 0.52),
                                          .conductivity = 200.0,
                                          .hardness = 1.1e9 };
    const double h = contact_conductance(&aluminium, 1e5) + gap_conductance(&aluminium, 1e5);
    cr_expect(h > 3636.0 / 3.0 && h < 3636.0 * 3.0, "%g", h);
}

/* Still air of 0.026 W/(m.K) over at least three roughnesses, less than ten: the planes of two
 * rough faces stand that far apart (Y of the formula at P/H from 1e-5 to 1e-2, by hand 2.4 to 4.7).
 */
Test(contact, the_gap_is_some_roughnesses_of_air)
{
    for (double p = 1e4; p < 1.2e7; p *= 10.0) {
        const double roughnesses = 0.026 / gap_conductance(&worked, p) / worked.roughness;
        cr_expect(roughnesses > 2.4 && roughnesses < 5.0, "%g at %g Pa", roughnesses, p);
    }
}

/* 100 Pa under 0.69 MPa: 30.2 um; twice the pressure takes 0.891 of it (by hand). */
Test(contact, compound_is_pressed_to_the_bond_line)
{
    NEAR_REL(bond_line(100.0, 0.69e6), 30.2e-6, 1e-3);
    NEAR_REL(bond_line(100.0, 1.38e6) / bond_line(100.0, 0.69e6), 0.891, 1e-3);
}

/* The table of any fastener handbook: an M6 at 5 N.m with a nut factor of 0.2 pulls 4.17 kN. */
Test(contact, a_screw_pulls_its_torque_over_a_fifth_of_its_diameter)
{
    NEAR_REL(screw_force(5.0, 6e-3), 4166.7, 1e-4);
}
