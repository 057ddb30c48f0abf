// Package wide does exact 128-bit arithmetic for verdicts.
package wide
