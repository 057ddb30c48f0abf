package units

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Price is an amount of money in one currency, exact to a millionth of the unit
// and never negative. Prices compare with ==. The zero Price is nothing in no
// currency: adding it changes nothing, and it has no text form.
type Price struct {
	amount   int64 // millionths
	currency string
}

const (
	pricePlaces = 6
	priceUnit   = 1_000_000
)

// NewPrice gives a price from an amount and a currency code: three capital
// ASCII letters in the form of ISO 4217, not checked against its list. Errors:
// ErrUnit for the code, ErrNegative, ErrTooFine for more than six decimals,
// ErrOverflow above about nine million million.
func NewPrice(amount decimal.Decimal, currency string) (Price, error) {
	if !isCurrency(currency) {
		return Price{}, fmt.Errorf("price in currency %q: %w", currency, ErrUnit)
	}
	v, err := onGrid(amount, pricePlaces)
	if err != nil {
		return Price{}, fmt.Errorf("price in %s: %w", currency, err)
	}
	return Price{v, currency}, nil
}

func isCurrency(s string) bool {
	if len(s) != 3 {
		return false
	}
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return false
		}
	}
	return true
}

// ParsePrice reads an amount and then its currency code: "4.50 EUR". Symbols
// are refused, because several currencies share them.
//
// The error is a *ParseError around ErrSyntax, ErrNoUnit, ErrUnit, ErrNegative,
// ErrTooFine (more than six decimals), ErrTooLong or ErrOverflow.
func ParsePrice(s string) (Price, error) {
	k := kind{
		name: "price", units: "a currency code of three capital letters, as in \"4.50 EUR\"",
		steps: "amounts are held to six decimals",
	}
	var code string
	v, err := parse(k, s, func(name string) int64 {
		if !isCurrency(name) {
			return 0
		}
		// A copy, so that a price does not keep a whole file in memory.
		code = strings.Clone(name)
		return priceUnit
	})
	if err != nil {
		return Price{}, err
	}
	return Price{v, code}, nil
}

// Amount gives the exact amount without its currency.
func (p Price) Amount() decimal.Decimal { return decimal.New(p.amount, -pricePlaces) }

// Currency gives the code, or "" for the zero Price.
func (p Price) Currency() string { return p.currency }

// IsZero reports whether p is the zero Price, which has no currency. A price of
// "0.00 EUR" is not.
func (p Price) IsZero() bool { return p == Price{} }

// Equal reports whether the two are the same amount of the same currency.
func (p Price) Equal(q Price) bool { return p == q }

// Add gives p + q. Errors: ErrCurrency for two currencies, ErrOverflow.
func (p Price) Add(q Price) (Price, error) {
	switch {
	case p.IsZero():
		return q, nil
	case q.IsZero():
		return p, nil
	case p.currency != q.currency:
		return Price{}, fmt.Errorf("adding %s and %s: %w", p, q, ErrCurrency)
	}
	v, err := add("prices", p.amount, q.amount)
	if err != nil {
		return Price{}, err
	}
	return Price{v, p.currency}, nil
}

// Times gives n times p. Errors: ErrNegative for a negative n, ErrOverflow.
func (p Price) Times(n int64) (Price, error) {
	if n < 0 {
		return Price{}, fmt.Errorf("price %s times %d: %w", p, n, ErrNegative)
	}
	v, err := times("price", p.amount, n)
	if err != nil {
		return Price{}, err
	}
	return Price{v, p.currency}, nil
}

// String writes the exact amount with at least two decimals: "4.50 EUR".
// ParsePrice reads it back. The zero Price is "no price".
func (p Price) String() string {
	if p.IsZero() {
		return "no price"
	}
	s := fixedText(false, magnitude(p.amount), pricePlaces)
	for range pricePlaces - 2 {
		s = strings.TrimSuffix(s, "0")
	}
	return s + " " + p.currency
}

// MarshalText writes what String writes; the zero Price is ErrNoUnit.
func (p Price) MarshalText() ([]byte, error) {
	if p.IsZero() {
		return nil, fmt.Errorf("writing a price: %w", ErrNoUnit)
	}
	return []byte(p.String()), nil
}

// UnmarshalText reads what ParsePrice reads.
func (p *Price) UnmarshalText(text []byte) error { return unmarshal(p, text, ParsePrice) }
