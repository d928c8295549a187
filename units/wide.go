package units

import "math/bits"

// wide is a whole number of up to 512 bits, least significant word first. That is
// enough to bring any two values of one dimension to one denominator; a test adds
// up the widest.
type wide [8]uint64

func (x *wide) mul(m uint64) {
	var carry uint64
	for i := range x {
		hi, lo := bits.Mul64(x[i], m)
		var c uint64
		x[i], c = bits.Add64(lo, carry, 0)
		carry = hi + c
	}
}

func (x *wide) mulPow10(n int) {
	for ; n > 18; n -= 18 {
		x.mul(1e18)
	}
	if n > 0 {
		x.mul(pow10[n])
	}
}

func (x *wide) add(y *wide) {
	var carry uint64
	for i := range x {
		x[i], carry = bits.Add64(x[i], y[i], carry)
	}
}

// sub takes away y, which must not be larger.
func (x *wide) sub(y *wide) {
	var borrow uint64
	for i := range x {
		x[i], borrow = bits.Sub64(x[i], y[i], borrow)
	}
}

func (x *wide) cmp(y *wide) int {
	for i := len(x) - 1; i >= 0; i-- {
		switch {
		case x[i] < y[i]:
			return -1
		case x[i] > y[i]:
			return 1
		}
	}
	return 0
}

// fixed is ±n × 10^exp.
type fixed struct {
	n   wide
	exp int
	neg bool
}

func (f *fixed) sign() int {
	switch {
	case f.n == wide{}:
		return 0
	case f.neg:
		return -1
	}
	return 1
}

// fixed returns v in base units, times the denominator of its unit u.
func (v Value) fixed(u *info) fixed {
	f := fixed{n: wide{uint64(max(v.coef, -v.coef))}, exp: int(v.exp), neg: v.coef < 0}
	if u.offset != 0 { // never negative
		low := min(f.exp, int(u.offExp))
		off := wide{uint64(u.offset)}
		off.mulPow10(int(u.offExp) - low)
		f.n.mulPow10(f.exp - low)
		f.exp = low
		switch {
		case !f.neg:
			f.n.add(&off)
		case f.n.cmp(&off) > 0:
			f.n.sub(&off)
		default:
			off.sub(&f.n)
			f.n, f.neg = off, false
		}
	}
	f.n.mul(uint64(u.num))
	f.exp += int(u.exp)
	return f
}
