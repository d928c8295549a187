// Package lazy computes a value at first use, so that importing a package costs
// nothing.
package lazy

import "sync"

// Value holds a value that is made once. The zero Value is ready to use; it must
// not be copied.
type Value[T any] struct {
	once sync.Once
	v    T
}

// Get returns the value, made by the first caller's function.
func (l *Value[T]) Get(make func() T) T {
	l.once.Do(func() { l.v = make() })
	return l.v
}
