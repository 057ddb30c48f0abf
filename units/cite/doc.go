// Package cite says where a number comes from.
package cite
