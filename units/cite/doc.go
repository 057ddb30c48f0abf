// Package cite says where a number comes from.
//
// # Evidence
//
// Every figure that ships carries a [Ref] of one of four classes:
//
//	published   the text, table or data file was read; with source and locator
//	derived     arithmetic on published figures; with sources and the arithmetic
//	practice    people who feed do it so; claims no source
//	choice      ours, with the reason; a user may choose otherwise
//
// There is no class for a figure that is only remembered: [ParseEvidence]
// refuses the word "memory" with [ErrMemory], and the zero Evidence is refused
// by [Ref.Check].
//
// # Text form
//
// One text form serves CSV and YAML alike:
//
//	published usda-sr28: NDB 05100
//	published fediaf-2018, aafco-2014: table VII-12; p. 6
//	derived usda-sr28: 36/(100-39)
//	practice
//	practice: two meals a day
//	choice: the middle of the range
//	published aafco-2014: p. 6 [cat]
//
// that is
//
//	ref    = class [ " " key { "," key } ] [ ":" text ] [ " [" animal "]" ]
//	key    = lower-case letters and digits, single hyphens between them, at most 64
//	animal = lower-case words joined by single spaces or hyphens, at most 64
//
// where the text is the locator, the arithmetic, what is done, or the reason.
// Spaces around keys, the colon and the whole are ignored. The closing
// "[animal]" marks a figure that was made for another animal than the one it
// is used for; brackets that hold anything but lower-case words belong to the
// text. A text has at most 2048 bytes and 16 keys, is valid UTF-8 and holds no
// control characters, line separators or marks that change its direction.
//
// In YAML the form needs quotes, since it holds a colon and a space.
//
// # Form and substance
//
// [ParseRef] judges the form; its errors wrap [ErrSyntax], or [ErrMemory].
// [Ref.Check] judges the substance against a [Registry]; its errors wrap
// [ErrIncomplete], [ErrUnknownSource] or [ErrSyntax], several of them joined.
// For every Ref that passes Check or came from ParseRef, ParseRef(r.String())
// gives r again. [Ref.Words] is for people and never fails.
//
// # Registry
//
// [Shipped] is the embedded sources.csv. It holds only sources of which
// something was read, and says how much (reach):
//
//	full         the whole text or table
//	part         some pages
//	abstract     the abstract
//	dataset      a data file
//	restatement  only a text that repeats the source: a figure from it is shown
//	             "as restated in ..." and is to be confirmed against the original
//
// Remarks such as "(memory)" or "title paraphrased" inside a record say which
// detail of the citation is still to be confirmed; the figures are not meant
// by them. A note may name the licence of the source. Keys are permanent: they
// are never renamed and never given to another source. [LoadSources] reads a
// user's own file of the same form, and [Registry.With] lays it beside the
// shipped one; a key that is taken is an error. Faults of a file are a
// [strict.Faults], all at once, each with path, line and column.
//
// # What these types cannot catch
//
// That the locator is right, that the figure stands there, that it was copied
// without a slip, and that the animal in brackets is spelt as elsewhere.
//
// All values are safe for concurrent use; nothing here keeps state.
package cite
