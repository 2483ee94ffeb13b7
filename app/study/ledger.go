package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"strconv"
)

// A ledger takes down what a picture depends on and makes a digest of it.
//
// It is text: one entry a line, its name and its values apart by a space. Names
// are written out where an entry is made and are never those of the code: a type
// that moves and a field that is renamed leave every digest as it is. What is
// neutral is left out, so that a setting that joins later leaves the digests of
// all studies that do not use it. Numbers have as many digits as give them back;
// text is quoted, so that no value can pass for another entry.
type ledger struct{ sum hash.Hash }

func newLedger() *ledger { return &ledger{sha256.New()} }

// digest returns the digest of all entries, as 64 hexadecimal digits.
func (l *ledger) digest() string { return hex.EncodeToString(l.sum.Sum(nil)) }

// line takes down an entry, whatever its values.
func (l *ledger) line(name string, values ...any) {
	b := []byte(name)
	for _, v := range values {
		b = append(b, ' ')
		switch v := v.(type) {
		case float64:
			b = strconv.AppendFloat(b, v+0, 'g', -1, 64) // + 0: -0 is 0
		case string:
			b = strconv.AppendQuote(b, v)
		case int, int64:
			b = fmt.Append(b, v)
		default:
			panic("study: a digest takes numbers and text")
		}
	}
	l.sum.Write(append(b, '\n'))
}

// number takes down a number that is not neutral.
func (l *ledger) number(name string, v, neutral float64) {
	if v != neutral {
		l.line(name, v)
	}
}

// triple takes down three numbers that are not neutral.
func (l *ledger) triple(name string, v, neutral [3]float64) {
	if v != neutral {
		l.line(name, v[0], v[1], v[2])
	}
}

// word takes down a word that is not neutral.
func (l *ledger) word(name, v, neutral string) {
	if v != neutral {
		l.line(name, v)
	}
}

// flag takes down what is so.
func (l *ledger) flag(name string, on bool) {
	if on {
		l.line(name)
	}
}
