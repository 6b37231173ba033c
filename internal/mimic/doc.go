// Package mimic pretends a vessel on a pad, an operator at its valve and a
// logger that watches it, for demonstration, training and tests.
//
// The pretended vessel is no measurement and proves nothing about a real one.
// Its physics stand apart from the estimator's on purpose: another gas law
// (virial instead of Helmholtz), many more wall cells in a curved wall,
// stations all around, stratified gas, radiation to the fourth power, gusts
// and clouds, a supply that cools, sensors with faults of their own. So a good
// estimate of it is not the estimator's own model met again.
//
// Truth is the vessel, Scene a fill of it, Simulator runs it, Device speaks
// the wire protocol about it, and Record, ServePTY and ServeTCP carry that to
// a file or to hosts. Everything is deterministic for a seed; only Serve and
// Run look at a clock.
//
// Inside, pressures are absolute unless the name says gauge; at the package's
// edge (Row, View, Valve, Segment) they are gauge.
package mimic
