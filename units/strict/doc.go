// Package strict reads what people write in YAML and programs write in JSON,
// and refuses whatever two readers could understand differently.
//
// # Use
//
// [Parse] and [ReadAll] never fail. They give a [Doc]; its [Doc.Root] is read
// with the methods of [Node] and [Map], and at the end [Doc.Err] says, all at
// once, everything that was wrong: in the text, in its structure, and in what
// the caller looked for and noted with [Node.Fail]. Reading goes on over
// faults: a value that is missing or unusable is the zero Node, whose methods
// return zero values and note nothing more. So values that were read must not
// be used before Err has returned nil.
//
// A mapping remembers which keys were asked for, and [Map.Done] calls all
// others unknown, with the [Nearest] known name. Call Done once on every
// mapping, after the last key.
//
// # The language
//
// One file holds one document. It is YAML without
//
//   - anchors (&a), aliases (*a) and merge keys (<<), which are found and
//     never followed
//   - explicit tags (!!str, !x, and ! alone)
//   - nulls: null, ~, or nothing behind a colon or dash
//   - keys that are not text, and keys given twice in one mapping. Keys are
//     compared as text: a, "a" and 'a' are one key
//   - plain words that some readers take for true or false (yes, no, on, off,
//     y, n, true, false, whatever their case) where text is meant, and the
//     plain text <<. In quotes all of these are text
//   - second documents, and %YAML lines for a version the engine does not know
//   - tabs in indentation or behind the mark of a list item or key; a tab
//     elsewhere, and in text that begins with { or [, is a space
//   - bytes that are not UTF-8, control characters other than tab, line feed
//     and carriage return before line feed, the line separators U+2028 and
//     U+2029, characters that change the direction of text, the replacement
//     character U+FFFD, and a byte order mark other than at the very start.
//     The same holds for text written with escapes
//
// A text that is valid JSON is read as JSON (RFC 8259), with the same rules
// and the same model; repeated keys and null are refused there too. JSON
// escapes, also those of two halves, are understood; half of such a pair is
// refused.
//
// Values stay text until a caller gives them a meaning: [Node.Text] and
// [Value] hand over the characters as written, every digit of them, so 1.10
// stays "1.10" and 014 stays "014". [Map.Int] reads one form of each whole
// number: 0, or an optional minus and at most 18 digits that do not begin with
// 0, plain. [Map.Bool] reads the plain words true and false. This package
// knows no quantities: a bare 57 where "57 g" is meant is refused by the
// parser that the caller passes to [Value], and the refusal becomes a fault at
// the value.
//
// # Bounds
//
// A file holds at most [MaxBytes] bytes (1 MiB), [MaxDepth] levels (32),
// [MaxNodes] keys and values (100 000), [MaxScalar] bytes in one key or value
// (16 KiB) and [MaxDigits] digits in a row (64). The size is checked before
// anything is parsed; no input within it took longer than about one second to
// read or refuse, and most far less.
//
// # Tables
//
// [ParseTable] reads CSV with the same care: the columns of the first line are
// known ones, none is missing or there twice, every row has as many fields, and a
// field is clean text ([Clean]) of at most [MaxField] bytes with no space around
// it. [Cell], [OptCell] and the methods of [Table] read the fields of a row, and
// [Table.Err] gives all faults of the file at once. What breaks the quoting is the
// last fault, since what follows it cannot be told apart.
//
// # Text for people
//
// [Name] is the parser of what people call something: one line that shows. [IsID]
// knows what programs call it: words joined by hyphens.
// [Line] spells out what in a text from anywhere would act on the text around
// it; messages of faults have gone through it.
//
// # Faults
//
// Every fault is a [Fault] with path, line and column, both from 1, the column
// in characters. Faults inside the tree are placed exactly. Where the YAML
// engine stops at a syntax error, it is the only fault of the file, since what
// follows cannot be told apart; its line is found by reading shorter and
// shorter pieces of the file (up to 128 KiB, beyond that the engine's own line
// is shown, which can be off), and its column is that of the mark on which the
// engine stumbled or of the first character of the line. Err shows at most 100
// faults and counts the rest.
//
// Err is nil or [Faults]. An error of the reader given to ReadAll, of a parser
// given to Value, or passed to Node.Fail with %w can be found in it with
// errors.Is and errors.As.
//
// # Writing
//
// [Fields] are a mapping that is to be written, as YAML or JSON. [Doc.Rewrite]
// changes a file that was read to say something else, with its order and comments,
// and says what could not be kept.
//
// # What this package does not do
//
// It does not include other files or fill in defaults. It cannot see that a number stands under the wrong key,
// nor that a key was asked for only in some cases: ask for every key that may
// stand in a mapping, also when its value is not needed.
//
// A Doc and its Nodes and Maps belong to one goroutine; different Docs are
// independent.
package strict
