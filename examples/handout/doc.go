// Handout makes a sheet to give away: what is known about feeding raw meat to
// ferrets, topic by topic, with where each figure comes from.
//
//	handout [-topics LIST] [-for NAME] [-long] [-as-of DATE] [-foods FILE] [-rules FILE]
//	        [-format md|html|text|json|csl|bib|schema] [-out FILE]
//
// Topics, in the order they are asked for, all of them unless -topics names some:
//
//	style     choosing a style
//	ratios    shares of the week, and what bone means
//	amounts   how much, by animal
//	setout    time out of the fridge, and storage
//	hunted    hunted meat
//	switch    the way from dry food to raw
//	avoid     foods to avoid
//	calcium   calcium while no bone is eaten
//	sitter    what to tell a sitter
//
// Every figure is taken from the library's data when the sheet is made; none
// stands in this program but the weights, temperatures and batches it takes as
// examples, which are marked as our choice. Each carries a numbered citation or
// the words "common practice", and says when it is derived, only restated, or
// made for another animal. Where sources disagree the range is shown. Files of
// own foods and rules are laid over the shipped ones, as in the other programs.
//
// The formats html, md and text are for people; html is one file without script
// or outside request, made for A4 and Letter paper and for a narrow screen. The
// format json is the same document as data, schema writes its JSON Schema, and
// csl and bib write the cited sources as CSL-JSON and BibTeX.
//
// Nothing reads the clock: the date on the sheet is the one given, or a line to
// write it on. The same input gives the same bytes. The mark on a sheet is worked
// out from everything it says but its name and date, so that two sheets with one
// mark say the same.
//
// The folder browser holds checks by outside tools, run by browser/check.sh: a
// browser on screens and on paper, an HTML checker, an accessibility checker,
// and readers of the JSON and the citations.
//
// It exits with 0, or with 2 when it cannot use its input; then nothing is
// written.
package main
