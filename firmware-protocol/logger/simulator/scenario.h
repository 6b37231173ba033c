/* scenario.h: what happens to the pretended vessel, and the function of its
 * thermocouples. No part of it depends on the simulator's library. */
#ifndef SCENARIO_H
#define SCENARIO_H

#define PROBES 3

/* What the sensors would feel. */
typedef struct {
	double pressure_bar, probe_c[PROBES], ambient_c, junction_c;
} conditions;

/* Columns of a truth file as fillwright mimic --truth writes it. */
int scenario_load(const char *path);
void scenario_at(double time_s, conditions *c);
double scenario_end_s(void);

/* emf of type K, reference junction at 0 degrees, mV */
double type_k_mv(double celsius);

#endif
