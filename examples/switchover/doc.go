// Command switchover says what to do next in moving an animal from dry food to
// raw.
//
//	switchover
//	switchover -household home.yaml -log log.yaml -animal Tansy
//	switchover -batch "1 lb" -format json
//
// Without flags it reads two newcomers of an invented rescue. A household and a
// log of one's own belong together: -household FILE -log FILE, in the form that
// package ration describes; under steps the log says when an animal began which
// step, and each bowl that belongs to a step names it. Without -animal the answer
// is for every animal that has begun and is not on the last step.
//
// Reasons for a vet come first: signs, stools, loss of weight, hours without
// food. Then for each animal the next move and why; what to do with the old food;
// the gate of its step, point by point, met or not; the hours after which to go a
// step back and to call a vet; and, while it eats no bone, how much eggshell
// powder or bone meal a batch needs (-batch MASS, of the raw food it got in the
// last three days), with its range. A refusal is never waited out, and no step is
// left out: what is not written down is taken neither for a meal nor for a
// refusal. The order of the steps is common practice, the numbers of the gates are
// our choice: -steps FILE lays others in their place. -foods, -rules and -notices lay
// files of one's own over the shipped ones.
//
// A fault in the log is named with its place and comes first; the entry is left
// out, never corrected, and the rest is judged.
//
// -format json writes the same; -schema prints its JSON Schema; -out names a file
// for either.
//
// It exits with 0 when every animal goes on or stays, with 1 when one is for the
// vet, goes a step back, left a step out, when the log cannot say or has faults,
// and with 2 when nothing can be used.
package main
