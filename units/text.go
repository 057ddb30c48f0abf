package units

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"
)

// A number is a scanned amount, num/den, not yet multiplied by its unit.
type number struct {
	neg      bool
	num, den uint64
	whole    bool // written without point or fraction
}

// A kind says how a quantity is written, and how to explain it.
type kind struct {
	name, units, steps string
	signed             bool // a leading '-' is allowed
	fractions          bool // "1/2" and "1 1/2" are allowed
}

// parse reads an amount of a kind whose units are plain multiples of one step.
// The function unit gives 0 for a unit that the kind does not have.
func parse[T ~int64](k kind, s string, unit func(name string) T) (T, error) {
	n, name, err := scan(s, k)
	if err != nil {
		return 0, refuse(k, s, err)
	}
	u := unit(name)
	if u <= 0 {
		return 0, refuse(k, s, ErrUnit)
	}
	v, err := n.times(uint64(u))
	if err != nil {
		return 0, refuse(k, s, err)
	}
	return T(v), nil
}

// scan reads "<number>[space]<unit>" and returns the number and the unit text.
// The unit is not looked up, but it holds no digit, so nothing numeric is lost.
func scan(s string, k kind) (number, string, error) {
	if len(s) > MaxText {
		return number{}, "", ErrTooLong
	}
	var n number
	rest := s
	if strings.HasPrefix(rest, "-") && len(rest) > 1 && isDigit(rest[1]) {
		if !k.signed {
			return number{}, "", ErrNegative
		}
		n.neg, rest = true, rest[1:]
	}
	first, rest, err := digits(rest)
	if err != nil {
		return number{}, "", err
	}
	switch {
	case strings.HasPrefix(rest, "."):
		n.num, n.den, rest, err = decimalPart(first, rest[1:])
	case k.fractions && strings.HasPrefix(rest, "/"):
		n.num, n.den, rest, err = fraction("0", first, rest[1:])
	case k.fractions && mixed(rest):
		var top string
		top, rest, err = digits(rest[1:])
		if err == nil {
			n.num, n.den, rest, err = fraction(first, top, rest[1:])
		}
	default:
		n.whole, n.den = true, 1
		n.num, err = integer(first)
	}
	if err != nil {
		return number{}, "", err
	}
	unit := strings.TrimPrefix(rest, " ")
	if rest == "" {
		return number{}, "", ErrNoUnit
	}
	if strings.HasSuffix(rest, " ") {
		return number{}, "", fmt.Errorf("%w: a space at the end", ErrSyntax)
	}
	for i, r := range unit {
		if !unicode.IsLetter(r) && r != '%' && r != '°' && (r != ' ' || i == 0) {
			return number{}, "", fmt.Errorf("%w: write a plain number, one space and the unit", ErrSyntax)
		}
	}
	return n, unit, nil
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// digits splits the leading ASCII digits off s. No digit, or a zero in front of
// another digit, is a syntax error: one amount is written one way.
func digits(s string) (lead, rest string, err error) {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	if i == 0 {
		return "", "", fmt.Errorf("%w: a digit is needed", ErrSyntax)
	}
	if i > 1 && s[0] == '0' {
		return "", "", fmt.Errorf("%w: a number does not start with 0", ErrSyntax)
	}
	return s[:i], s[i:], nil
}

// mixed reports whether s is " <digits>/…", the second half of "1 1/2".
func mixed(s string) bool {
	i := 1
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i > 1 && s[0] == ' ' && i < len(s) && s[i] == '/'
}

// Nineteen digits are enough for every exact value of every type here, and
// always fit a uint64.
const maxDigits = 19

func integer(s string) (uint64, error) {
	if len(s) > maxDigits {
		return 0, ErrOverflow
	}
	return strconv.ParseUint(s, 10, 64)
}

func decimalPart(lead, s string) (num, den uint64, rest string, err error) {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	if i == 0 {
		return 0, 0, "", fmt.Errorf("%w: a digit is needed after the point", ErrSyntax)
	}
	frac := strings.TrimRight(s[:i], "0")
	if len(lead) > maxDigits {
		return 0, 0, "", ErrOverflow
	}
	if len(frac) >= maxDigits || len(strings.TrimLeft(lead+frac, "0")) > maxDigits {
		return 0, 0, "", ErrTooFine
	}
	num, err = strconv.ParseUint(lead+frac, 10, 64)
	return num, pow10(len(frac)), s[i:], err
}

// fraction reads the digits after the slash of "whole top/bottom".
func fraction(whole, top, s string) (num, den uint64, rest string, err error) {
	bottom, rest, err := digits(s)
	if err != nil {
		return 0, 0, "", err
	}
	if len(whole) > 9 || len(top) > 9 || len(bottom) > 9 {
		return 0, 0, "", fmt.Errorf("%w: at most nine digits in a part of a fraction", ErrTooLong)
	}
	var parts [3]uint64
	for i, p := range []string{whole, top, bottom} {
		if parts[i], err = integer(p); err != nil {
			return 0, 0, "", err
		}
	}
	w, t, b := parts[0], parts[1], parts[2]
	switch {
	case b == 0:
		return 0, 0, "", fmt.Errorf("%w: a fraction over zero", ErrSyntax)
	case w > 0 && t >= b:
		return 0, 0, "", fmt.Errorf("%w: the fraction beside a whole number must be below one", ErrSyntax)
	}
	return w*b + t, b, rest, nil
}

// times gives n × unit steps, exactly or not at all.
func (n number) times(unit uint64) (int64, error) {
	hi, lo := bits.Mul64(n.num, unit)
	if hi >= n.den {
		return 0, ErrOverflow
	}
	q, r := bits.Div64(hi, lo, n.den)
	if q > math.MaxInt64 {
		return 0, ErrOverflow
	}
	if r != 0 {
		return 0, ErrTooFine
	}
	if n.neg {
		return -int64(q), nil
	}
	return int64(q), nil
}

func pow10(n int) uint64 {
	p := uint64(1)
	for range n {
		p *= 10
	}
	return p
}

func magnitude(v int64) uint64 {
	if v < 0 {
		return -uint64(v)
	}
	return uint64(v)
}

// exactText writes v/10^places without trailing zeros.
func exactText(v int64, places int) string {
	s := fixedText(v < 0, magnitude(v), places)
	if places > 0 {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// fixedText writes q/10^places with all its places, and no sign before zero.
func fixedText(neg bool, q uint64, places int) string {
	s := strconv.FormatUint(q, 10)
	if places > 0 {
		if len(s) <= places {
			s = strings.Repeat("0", places+1-len(s)) + s
		}
		s = s[:len(s)-places] + "." + s[len(s)-places:]
	}
	if neg && q != 0 {
		s = "-" + s
	}
	return s
}

// roundedText writes v/unit to the given places, an exact half away from zero.
// Places are held to 0…most, where 10^most must not exceed unit.
func roundedText(v int64, unit uint64, places int32, most int) string {
	p := min(max(int(places), 0), most)
	hi, lo := bits.Mul64(magnitude(v), pow10(p))
	q, r := bits.Div64(hi, lo, unit)
	if r >= unit-r {
		q++
	}
	return fixedText(v < 0, q, p)
}

// onGrid turns d into a whole, non-negative number of steps of 10^-places. It
// looks at the exponent first, so a decimal of a billion digits costs nothing.
func onGrid(d decimal.Decimal, places int32) (int64, error) {
	switch d.Sign() {
	case 0:
		return 0, nil
	case -1:
		return 0, ErrNegative
	}
	shift := int64(d.Exponent()) + int64(places)
	switch {
	case shift > maxDigits:
		return 0, ErrOverflow
	case shift < -MaxText:
		return 0, ErrTooFine
	}
	c := d.Coefficient()
	ten := big.NewInt(10)
	if shift >= 0 {
		c.Mul(c, ten.Exp(ten, big.NewInt(shift), nil))
	} else {
		rem := new(big.Int)
		c.QuoRem(c, ten.Exp(ten, big.NewInt(-shift), nil), rem)
		if c.IsInt64() && rem.Sign() != 0 {
			return 0, ErrTooFine
		}
	}
	if !c.IsInt64() {
		return 0, ErrOverflow
	}
	return c.Int64(), nil
}

func add(what string, a, b int64) (int64, error) {
	sum := a + b
	if (b > 0 && sum < a) || (b < 0 && sum > a) {
		return 0, fmt.Errorf("adding %s: %w", what, ErrOverflow)
	}
	return sum, nil
}

func times(what string, a, n int64) (int64, error) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(n))
	neg := (a < 0) != (n < 0)
	if hi != 0 || lo > math.MaxInt64 {
		return 0, fmt.Errorf("%s times %d: %w", what, n, ErrOverflow)
	}
	if neg {
		return -int64(lo), nil
	}
	return int64(lo), nil
}

// marshal writes s, unless v is a value that the parser would not read back.
func marshal(what string, v int64, s string) ([]byte, error) {
	if v < 0 {
		return nil, fmt.Errorf("writing %s %s: %w", what, s, ErrNegative)
	}
	return []byte(s), nil
}

// unmarshal sets *dst only when the text is accepted.
func unmarshal[T any](dst *T, text []byte, parse func(string) (T, error)) error {
	v, err := parse(string(text))
	if err != nil {
		return err
	}
	*dst = v
	return nil
}
