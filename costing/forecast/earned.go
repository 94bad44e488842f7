package forecast

import "math/big"

// Earned are the earned-value figures of a piece of work (the definitions of
// the US Department of Defense's earned-value reference card). All are exact.
type Earned struct{ BAC, EV, AC *big.Rat }

// CV is the cost variance, EV − AC.
func (e Earned) CV() *big.Rat { return new(big.Rat).Sub(e.EV, e.AC) }

// CPI is the cost performance index, EV / AC; nil before any cost.
func (e Earned) CPI() *big.Rat { return quo(e.EV, e.AC) }

// EAC is the estimate at completion, BAC / CPI; nil without a CPI.
func (e Earned) EAC() *big.Rat {
	cpi := e.CPI()
	if cpi == nil {
		return nil
	}
	return quo(e.BAC, cpi)
}

// CompositeEAC is AC + (BAC − EV) / (CPI × SPI); nil without the indices.
func (e Earned) CompositeEAC(spi *big.Rat) *big.Rat {
	cpi := e.CPI()
	if cpi == nil {
		return nil
	}
	rest := quo(new(big.Rat).Sub(e.BAC, e.EV), new(big.Rat).Mul(cpi, spi))
	if rest == nil {
		return nil
	}
	return rest.Add(rest, e.AC)
}

// TCPI is the efficiency needed from here, (BAC − EV) / (BAC − AC); nil where
// the budget is spent.
func (e Earned) TCPI() *big.Rat {
	return quo(new(big.Rat).Sub(e.BAC, e.EV), new(big.Rat).Sub(e.BAC, e.AC))
}

func quo(a, b *big.Rat) *big.Rat {
	if b.Sign() == 0 {
		return nil
	}
	return new(big.Rat).Quo(a, b)
}
