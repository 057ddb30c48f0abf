// Package units holds the exact quantities of feeding: masses, shares, volumes,
// energies, temperatures, prices and dates, the text forms people write them
// in, ranges of them, the splitting of a total into whole portions.
//
// # Exactness
//
// Every quantity is a whole number of a step small enough that what people
// write is exact. Nothing here is a binary float, except Temperature.Celsius,
// which exists for estimates.
//
//	type         step                      largest     exact are
//	Mass         1 pg = 1e-12 g            9223 kg     g to 12 decimals, oz to 3, lb to 7, eighths of an oz
//	Share        1e-6 of the whole         9e12 wholes per cent to 4 decimals
//	Volume       1e-14 mL                  92 L        mL to 14 decimals, US spoons to eighths
//	Energy       1 µJ                      9e9 kJ      kJ to 9 decimals, kcal to 6
//	Temperature  1/18000 °C                400 °C      °C to 3 decimals, °F to 4; not below -273.15 °C
//	Price        1e-6 of a currency unit   9e12        6 decimals; currencies are never mixed
//	Date         1 day                     9999-12-31  from 0001-01-01
//
// All but Price are integer types, so they compare with == and < and sort as
// they are. Plain + and * wrap around in silence as integers do; Add and Times
// report ErrOverflow instead, and are what sums should use.
//
// Rounding happens once, when a quantity is printed for people by one of the
// methods whose name begins with In. All of them round an exact half up (away
// from zero when negative), as kitchen scales do (common practice); laboratory
// rules often round an exact half to the even digit instead. Places outside
// what a method offers are held to its nearest. What is printed by these
// methods is not meant to be read back; what String prints is.
//
// # Text
//
// A text is a number, one space and a unit: "57 g". The space may be left out,
// nothing else may be added. Numbers are ASCII digits with at most one point,
// with a digit on both sides of it, and without zeros in front. There is no
// exponent, no thousands separator, no decimal comma and no plus sign; a minus
// sign only on temperatures. Units are in the singular and in their usual case.
// Masses and volumes also take fractions, "1/2 oz" and "1 1/2 tsp", and a mass
// takes "1 lb 4 oz". A text may have at most MaxText bytes.
//
//	Mass         mg g kg oz lb        (avoirdupois)
//	Share        %
//	Volume       mL L tsp tbsp "fl oz" cup   (US customary)
//	Energy       kcal kJ
//	Temperature  °C C °F F
//	Price        three capital letters: EUR
//	Date         2026-11-25
//
// A bare number is always refused with ErrNoUnit, zero included.
//
// Every type has a text form (MarshalText, UnmarshalText; encoding/json uses
// them) that is exact: reading what was written gives the same value. Writing a
// value that the parser would refuse, such as a negative mass, is an error. A
// failed UnmarshalText leaves its target as it was. A JSON null never reaches
// UnmarshalText: whoever reads JSON checks for it.
//
// # Errors
//
// A parser returns a *ParseError with what was read, the text and the reason;
// errors.Is finds the sentinel. A text has one reason, the first found. No
// function panics on any argument, and none keeps state, so all are safe for
// concurrent use.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # What the types cannot catch
//
// They do not know what is weighed: raw or dried, with bone or without. A Share
// does not know of what it is a share, and may exceed 100 %. A volume is not a
// mass, and there is no density here. A Temperature does not say whether it is
// an upper or a lower limit. A currency code is checked for its form only. The
// zero Date is 1970-01-01 and not a missing date. Masses made by conversion,
// such as Mass(57), are picograms.
package units
