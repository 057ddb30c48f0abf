// Weekplan makes or audits a household's week: who needs how much, what to feed
// by day and meal, whether it is balanced, what to buy, how long it may stay
// out, and where each number comes from.
//
// Without flags it plans for the invented rescue embedded in it.
//
//	weekplan [-household FILE] [-plan FILE] [-start DATE] [-room TEMPERATURE]
//	         [-foods FILE] [-rules FILE] [-notices FILE] [-format text|json] [-out FILE]
//
// It exits with 0 when nothing has to be stopped or mended, with 1 when
// something has, or when food is lacking for a plan, and with 2 when it cannot
// use its input: then every fault is named with its place and nothing is
// written. The same input gives the same output, byte for byte: nothing reads
// the clock of the machine.
package main
