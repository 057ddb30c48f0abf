// Package strict reads people's YAML and programs' JSON, strictly.
package strict
