// Command logbook says what was really eaten, and what next week needs.
//
//	logbook
//	logbook -household home.yaml -log log.yaml -days 14
//	logbook -sheet card -animal Moss
//	logbook -format json -out week.json
//
// Without flags it reads two weeks of an invented rescue. A household and a log
// of one's own belong together: -household FILE -log FILE, in the form that
// package ration describes.
//
// What comes first is what a vet must see or what is urgent: signs of illness,
// stools, losses of weight and times without food from the whole log, however few
// days of it are looked at, since none of them goes away by itself. Then what each
// animal ate: as a range, since what nobody weighed may be left, what nobody
// searched for may be hidden, and at a shared bowl each animal may have eaten
// from nothing to all that nobody saw another eat. "Did it get liver" is yes, no
// or open; a day that is not written down is never a day without food. Then the
// shares eaten against the target, with bone in both meanings, the audit, the
// bowls and what to change, weights against each animal's own mean, stools with
// what they are usually taken for (never a diagnosis), and the grams that next
// week makes up for.
//
// Alerts of weight are our choice and can be changed: -week-loss SHARE,
// -mean-loss SHARE. -foods, -rules and -notices lay files of one's own over the
// shipped ones.
//
// -sheet card writes for whoever looks after the animals next, a sitter or an
// adopter, what the log shows: what each takes and leaves, when, with whom, how
// long it may go without food, what is not known, and when to call a vet.
//
// A fault in the log (more left than was offered, an entry after the log's own
// time, two weights in one minute, a mass off by the factor of an ounce or a
// thousand, an animal nobody knows) is named with its place and comes first; the
// entry is left out, never corrected, and the rest is judged.
//
// -format json writes the same; -schema prints the JSON Schema of the sheet that
// -sheet names.
//
// It exits with 0 when nothing is to be mended, with 1 when something is for the
// vet, to stop or to mend, or the log has faults, and with 2 when nothing can be
// used.
package main
