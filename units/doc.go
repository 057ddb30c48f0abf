// Package units holds exact quantities.
package units
