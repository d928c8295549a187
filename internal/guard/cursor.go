package guard

import "strings"

// Cursor walks bytes that [Check] has accepted.
type Cursor struct {
	Data []byte
	Pos  int
}

// Space passes over white space.
func (c *Cursor) Space() {
	for c.Pos < len(c.Data) && c.Data[c.Pos] <= ' ' {
		c.Pos++
	}
}

// More goes to the next element or member of an array or object that was entered. It
// reports false at the end, and passes over that.
func (c *Cursor) More() bool {
	c.Space()
	if c.Data[c.Pos] == ',' {
		c.Pos++
		c.Space()
	}
	if b := c.Data[c.Pos]; b != ']' && b != '}' {
		return true
	}
	c.Pos++
	return false
}

// Name returns the name of the member at the cursor and goes to its value.
func (c *Cursor) Name() []byte {
	name := c.Quoted()
	c.Space()
	c.Pos++ // the colon
	c.Space()
	return name
}

// Quoted returns the text of the string at the cursor and passes over it.
func (c *Cursor) Quoted() []byte {
	start := c.Pos + 1
	end := start
	for c.Data[end] != '"' {
		if c.Data[end] == '\\' {
			end++
		}
		end++
	}
	c.Pos = end + 1
	return Unquote(c.Data[start:end])
}

// Skip passes over one value.
func (c *Cursor) Skip() {
	depth := 0
	for {
		c.Space()
		switch c.Data[c.Pos] {
		case '"':
			c.Quoted()
		case '{', '[':
			depth++
			c.Pos++
		case '}', ']':
			depth--
			c.Pos++
		case ',', ':':
			c.Pos++
			continue
		default:
			for c.Pos < len(c.Data) && c.Data[c.Pos] > ' ' && strings.IndexByte(",]}", c.Data[c.Pos]) < 0 {
				c.Pos++
			}
		}
		if depth == 0 {
			return
		}
	}
}

// Token returns the bytes of the number at the cursor and passes over it, or nil.
func (c *Cursor) Token() []byte {
	start := c.Pos
	for c.Pos < len(c.Data) {
		b := c.Data[c.Pos]
		if b-'0' > 9 && b != '-' && b != '.' && b != 'e' && b != 'E' && b != '+' {
			break
		}
		c.Pos++
	}
	return c.Data[start:c.Pos]
}

// Quantity reads an object with exactly the members "value", a number, and "unit",
// a string, and returns both as written. It checks data itself.
func Quantity(data []byte, lim Limits) (number, unit []byte, err error) {
	number, unit, _, err = Value(data, lim, "")
	return number, unit, err
}

// Value is [Quantity] with a third member that may be there, a string, unless its name
// is "".
func Value(data []byte, lim Limits, third string) (number, unit, word []byte, err error) {
	if err := Check(data, lim); err != nil {
		return nil, nil, nil, err
	}
	c := Cursor{Data: data}
	c.Space()
	if c.Data[c.Pos] != '{' {
		return nil, nil, nil, c.shape("", `want an object like {"value": 5.4, "unit": "kg"}`)
	}
	start := c.Pos
	c.Pos++
	for c.More() {
		at := c.Pos
		switch name := c.Name(); string(name) {
		case "value":
			if number = c.Token(); len(number) == 0 {
				return nil, nil, nil, c.shape("/value", "want a number")
			}
		case "unit":
			if c.Data[c.Pos] != '"' {
				return nil, nil, nil, c.shape("/unit", "want a string")
			}
			unit = c.Quoted()
		default:
			if third != "" && string(name) == third && c.Data[c.Pos] == '"' {
				word = c.Quoted()
				continue
			}
			c.Pos = at
			return nil, nil, nil, c.shape("/"+Segment(string(name)), "unknown member; remove it or correct its name")
		}
	}
	c.Pos = start
	switch {
	case number == nil:
		return nil, nil, nil, c.shape("", `the required member "value" is missing`)
	case unit == nil:
		return nil, nil, nil, c.shape("", `the required member "unit" is missing`)
	}
	return number, unit, word, nil
}

func (c *Cursor) shape(pointer, problem string) error {
	return &Error{int64(c.Pos), pointer, problem, Shape}
}
