package costing

import (
	"fmt"
	"math/big"
	"strings"
)

// Money is a whole number of minor units (cents) of the yard's base currency.
type Money int64

// Price is currency units per stock unit, per hour or per unit of another
// currency, in millionths. Rates of pay and exchange rates are prices too.
type Price int64

// Share is a part of one, in millionths: 0.15 is 150 000.
type Share int64

// One is the whole share.
const One Share = Million

// Currency is an ISO 4217 currency: its code and its number of minor digits.
type Currency struct {
	Code  string
	Minor int
}

// minorDigits lists the currencies whose minor digits are not 2 (ISO 4217, list one).
var minorDigits = map[string]int{
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0,
	"RWF": 0, "UGX": 0, "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3, "CLF": 4, "UYW": 4,
}

// twoDigits lists the ISO 4217 codes with two minor digits.
const twoDigits = " AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD " +
	"CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD " +
	"HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU " +
	"MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK " +
	"SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD XCG " +
	"YER ZAR ZMW ZWG "

// ParseCurrency looks an ISO 4217 code up.
func ParseCurrency(code string) (Currency, error) {
	if d, ok := minorDigits[code]; ok {
		return Currency{code, d}, nil
	}
	if len(code) == 3 && !strings.Contains(code, " ") && strings.Contains(twoDigits, " "+code+" ") {
		return Currency{code, 2}, nil
	}
	return Currency{}, fmt.Errorf("%q is not an ISO 4217 currency code such as EUR", code)
}

// Format writes an amount with the currency's minor digits: "1234.56".
func (c Currency) Format(m Money) string { return formatScaled(int64(m), c.Minor) }

// Scale is 10 to the currency's minor digits.
func (c Currency) Scale() int64 { return pow10(c.Minor) }

// FromDecimal turns currency units in millionths into minor units, rounded half away from zero.
func (c Currency) FromDecimal(v int64) (Money, error) {
	m, err := MulRound(v, c.Scale(), Million)
	return Money(m), err
}

// Convert is round(amount × fx): amount in millionths of some currency, fx in
// base currency per unit of it.
func (c Currency) Convert(amount int64, fx Price) (Money, error) {
	m, err := RoundRat(c.Extend(Quantity(amount), fx))
	return Money(m), err
}

// Extend is the exact value of quantity × price in minor units, as a fraction.
func (c Currency) Extend(q Quantity, p Price) *big.Rat {
	num := Mul(int64(q), int64(p)).Big()
	num.Mul(num, big.NewInt(c.Scale()))
	return new(big.Rat).SetFrac(num, big.NewInt(Million*Million))
}
