// Package log is what was really eaten: a feeding log as data, with weights, stools,
// signs of illness and water, and what follows from it: the range of what each animal
// ate, reasons to call a vet, and the next planned amount.
//
// Nothing here replaces a veterinarian. Everything is a function of its arguments;
// nothing reads a clock, a network or a file, and a log that was loaded is not changed.
//
// # Eaten
//
// A log gives eaten = offered - left - found hidden, as a range: what nobody weighed may all be left, what nobody searched
// for may all be hidden. At a shared bowl each animal's range is narrowed by what was seen. Bare bone on the plate is not
// eaten and is taken out of the food's bone. Days of which nothing is written are not days without food; Log.Got answers
// yes, no or open, and Log.Alarms counts hours without a bowl as hunger only on days that are written down in full. An alarm
// stays for as long as the log speaks of it: that a vet has seen the animal is not written in a log. Adjust
// turns what was eaten while the weight held into the next planned amount. An entry that could not be read makes its day
// one that is not written down in full.
//
// # Errors
//
// Load returns strict.Faults: every fault of the file with path:line:column. It returns
// the sound entries beside them. What is not known is no error; it is part of the answer.
//
// # Files
//
// A feeding log has the schema key Schema. Only schema, household, as-of and from are required:
//
//	schema: fitchet.log/1
//	household: Brackenford Ferret Rescue
//	as-of: 2026-12-06 21:00
//	from: 2026-11-30            # first day the log speaks of; weights and steps may be older
//	complete: [2026-11-30 to 2026-12-05]  # days of which everything fed is written down
//	fed:
//	  - at: 2026-11-30 07:00
//	    for: [bramble, moss]    # who could reach the bowl
//	    food: chicken wing
//	    offered: 110 g
//	    left: 30 g              # when it was lifted, bare bone included; absent: not weighed
//	    bone-left: 20 g         # bare bone among it
//	    stash: 0 g              # found hidden; absent: not searched for
//	    seen: {moss: none}      # none, some, all, or a mass, of any animal somebody watched
//	    stage: soup             # step of a switch this meal belongs to
//	    treat: false
//	weights: [{at: 2026-12-01 08:00, animal: bramble, weight: 785 g}]
//	stools: [{at: 2026-12-01 08:00, animal: bramble, class: firm}]   # words of Stools
//	signs: [{at: 2026-12-01 09:00, animal: moss, sign: dull}]        # words of Signs
//	water: [{at: 2026-12-01 08:00, for: [moss], offered: 150 mL, left: 90 mL}]
//	steps: [{at: 2026-11-30 07:00, animal: moss, stage: soup, vet-agreed: true}]   # begins a step of a switch
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
package log
