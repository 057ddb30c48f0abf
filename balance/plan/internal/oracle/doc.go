// Package oracle asks an independent solver for the cheapest packs of a week and
// holds package balance's planner to its answer. It shares no code with the
// planner: it reads the household, the figures that foods export, and the bounds
// of rules and targets, and writes the week down anew as a linear program in the
// CPLEX LP format, which GLPK's glpsol reads.
//
// What a week must hold is stated in package plan, at Week and Request;
// [Question.Write] is a second reading of that text.
//
// Package oracle is for tests and benchmarks. Program text depends on nothing but
// its arguments, so that an answer can be kept under a hash of it.
package oracle
