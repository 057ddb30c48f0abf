// Foods answers "what is in this, and how do you know": the parts, nutrients and
// energy of a food, each figure with its source, and what is known against it.
//
//	foods [-part PART] [-species ANIMAL] [-hazard TAG] [-foods FILE] [-format text|json] [-out FILE] [NAME]
//
// With a name or id it explains that food; the name may be several words, in the
// singular or plural. Without one it lists the foods that meet the flags, by
// default all. The file of -foods is your own foods, a shop's mix by its label
// for instance, laid over the shipped ones; - is standard input.
//
// It exits with 0 when nothing speaks against the food, with 1 when something
// about the one named says stop or mend, and with 2 when it cannot use its input:
// an unknown food (the nearest names follow), a file with faults (all of them,
// with their places), a flag it does not know. A list exits with 0, also an
// empty one.
package main
