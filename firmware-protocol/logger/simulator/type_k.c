/* type_k.c: the emf of a type K thermocouple, reference junction at 0 degrees.
 * Coefficients: NIST Monograph 175, ITS-90 reference functions, type K. */
#include <math.h>
#include <stddef.h>

#include "scenario.h"

static const double below[] = {
	0.0, 0.039450128025, 2.3622373598e-05, -3.2858906784e-07,
	-4.9904828777e-09, -6.7509059173e-11, -5.7410327428e-13, -3.1088872894e-15,
	-1.0451609365e-17, -1.9889266878e-20, -1.6322697486e-23,
};
static const double above[] = {
	-0.017600413686, 0.038921204975, 1.8558770032e-05, -9.9457592874e-08,
	3.1840945719e-10, -5.6072844889e-13, 5.6075059059e-16, -3.2020720003e-19,
	9.7151147152e-23, -1.2104721275e-26,
};

double type_k_mv(double t)
{
	const double *c = t < 0 ? below : above;
	size_t n = t < 0 ? sizeof below / sizeof *below : sizeof above / sizeof *above;
	double mv = 0;
	while (n-- > 0)
		mv = mv * t + c[n];
	if (t >= 0)
		mv += 0.1185976 * exp(-1.183432e-4 * (t - 126.9686) * (t - 126.9686));
	return mv;
}
