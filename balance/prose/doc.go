// Package prose writes a report of package balance for keepers, in plain words and
// plain text.
package prose
