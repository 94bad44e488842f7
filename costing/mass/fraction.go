package mass

import "math/big"

// The arithmetic of laminates, as ISO 14127 and ASTM D3171 (method II) have it
// for a laminate without voids. Densities are kilograms per litre (grams per
// cubic centimetre), areal masses grams per square metre.

// VolumeFraction is the share of fibre by volume of a laminate whose share of
// fibre by mass is wf: (wf/ρf) / (wf/ρf + (1 − wf)/ρm). It is nil without
// densities.
func VolumeFraction(wf, fibreDensity, matrixDensity *big.Rat) *big.Rat {
	if wf == nil || fibreDensity == nil || matrixDensity == nil || fibreDensity.Sign() <= 0 || matrixDensity.Sign() <= 0 {
		return nil
	}
	fibre := new(big.Rat).Quo(wf, fibreDensity)
	matrix := new(big.Rat).Sub(big.NewRat(1, 1), wf)
	sum := matrix.Quo(matrix, matrixDensity)
	sum.Add(sum, fibre)
	if sum.Sign() <= 0 {
		return nil
	}
	return fibre.Quo(fibre, sum)
}

// Thickness is that of a laminate in millimetres: areal mass of its fibre over
// 1000 × fibre density × share of fibre by volume.
func Thickness(arealMass, fibreDensity, vf *big.Rat) *big.Rat {
	if arealMass == nil || fibreDensity == nil || vf == nil || fibreDensity.Sign() <= 0 || vf.Sign() <= 0 {
		return nil
	}
	t := new(big.Rat).Mul(fibreDensity, vf)
	t.Mul(t, big.NewRat(1000, 1))
	return t.Quo(arealMass, t)
}

// MatrixPerFibre is the mass of resin and hardener to a mass of fibre at a
// share of fibre by mass: 1/wf − 1.
func MatrixPerFibre(wf *big.Rat) *big.Rat {
	if wf == nil || wf.Sign() <= 0 {
		return nil
	}
	r := new(big.Rat).Inv(wf)
	return r.Sub(r, big.NewRat(1, 1))
}

// MassFraction is the share of fibre by mass of a laminate whose share by
// volume is vf: the inverse of VolumeFraction.
func MassFraction(vf, fibreDensity, matrixDensity *big.Rat) *big.Rat {
	if vf == nil || fibreDensity == nil || matrixDensity == nil {
		return nil
	}
	fibre := new(big.Rat).Mul(vf, fibreDensity)
	matrix := new(big.Rat).Sub(big.NewRat(1, 1), vf)
	matrix.Mul(matrix, matrixDensity)
	matrix.Add(matrix, fibre)
	if matrix.Sign() <= 0 {
		return nil
	}
	return fibre.Quo(fibre, matrix)
}
