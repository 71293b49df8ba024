package unit

import (
	"math"
	"strconv"
	"strings"
)

// Money is an amount in minor units (cents); the currency stands elsewhere.
// The zero value is nothing to pay.
type Money int64

const moneyExample = `an amount of money such as "7.50" or "12 EUR"`

// mostMoney is 10^12 in major units; a house limit that leaves room to
// multiply by any quantity without overflow.
const mostMoney = 1e14

// ParseMoney reads "7.50", "7,50", "12", "12 EUR", "€ 3", "-2.40"; the
// currency is read and dropped, see [ParseMoneyIn].
func ParseMoney(s string) (Money, error) { m, _, err := ParseMoneyIn(s); return m, err }

// ParseMoneyIn also returns the currency as it was written before or after
// the number, letters in upper case; "" when none was.
func ParseMoneyIn(s string) (m Money, currency string, err error) {
	t := strings.TrimSpace(plain.Replace(s))
	start := strings.IndexFunc(t, func(r rune) bool { return strings.ContainsRune("+-.,0123456789", r) })
	if start < 0 {
		return 0, "", refuse(s, "there is no number", moneyExample)
	}
	before := strings.TrimSpace(t[:start])
	number, after := splitNumber(t[start:])
	currency, ok := oneCurrency(before, after)
	if !ok {
		return 0, "", refuse(s, "the currency is not understood", moneyExample)
	}
	m, why := minorUnits(number)
	if why != "" {
		return 0, "", refuse(s, why, moneyExample)
	}
	return m, currency, nil
}

// oneCurrency accepts a sign or three letters on one side of the number.
func oneCurrency(before, after string) (string, bool) {
	c := before + after
	if c == "" {
		return "", true
	}
	if before != "" && after != "" {
		return "", false
	}
	switch c {
	case "€", "$", "£", "¥":
		return c, true
	}
	up := strings.ToUpper(c)
	if len(up) != 3 || strings.Trim(up, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return "", false
	}
	return up, true
}

// minorUnits reads a decimal with at most two places without passing through
// binary fractions.
func minorUnits(number string) (Money, string) {
	if _, why := decimal(number); why != "" {
		return 0, why
	}
	if strings.Contains(number, "e") {
		return 0, "an exponent"
	}
	sign := Money(1)
	if strings.HasPrefix(number, "-") {
		sign = -1
	}
	whole, part, _ := strings.Cut(strings.ReplaceAll(strings.TrimLeft(number, "+-"), ",", "."), ".")
	if len(part) > 2 {
		return 0, "more than two decimals"
	}
	cents, err := strconv.ParseInt(whole+(part + "00")[:2], 10, 64)
	if err != nil || cents > mostMoney {
		return 0, "too large"
	}
	return sign * Money(cents), ""
}

// String prints major units with two decimals: "7.50". [ParseMoney] reads it back.
func (m Money) String() string {
	sign, v := "", uint64(m)
	if m < 0 {
		sign, v = "-", uint64(-(m+1))+1 // holds for the least int64 too
	}
	cents := strconv.FormatUint(v%100, 10)
	if len(cents) < 2 {
		cents = "0" + cents
	}
	return sign + strconv.FormatUint(v/100, 10) + "." + cents
}

// Set is [ParseMoney] for a flag; on an error the value stays.
func (m *Money) Set(s string) error { return set(m, s, ParseMoney) }

// Times returns m for n pieces, rounded half away from zero to a minor unit.
// NaN and results beyond the house limit of 10^12 major units give that limit
// with the sign of the product.
func (m Money) Times(n float64) Money {
	v := math.Round(float64(m) * n)
	switch {
	case math.IsNaN(v) || v > mostMoney:
		return mostMoney
	case v < -mostMoney:
		return -mostMoney
	}
	return Money(v)
}
