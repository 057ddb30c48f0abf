package main

import (
	_ "embed"
	"errors"
	"fmt"
	"math/big"
	"reflect"
	"strconv"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"
	"cel.dev/cel-go/ext"
)

//go:embed rules.cel
var celText string

// celEngine compiles the rules once. The one thing that the language lacks is a
// sum over a list: total is registered.
func celEngine(name string, exact bool, text string, gram ref.Val, form func(*row) entry, number func(string) (ref.Val, error), total func(traits.Lister) ref.Val) (engine, error) {
	fail := func(err error) (engine, error) { return engine{}, fmt.Errorf("%s: %w", name, err) }
	env, err := cel.NewEnv(ext.Bindings(), ext.Lists(),
		cel.Variable("servings", cel.ListType(cel.MapType(cel.StringType, cel.DynType))),
		cel.Variable("gram", cel.DynType),
		cel.Function("total", cel.Overload("total_list", []*cel.Type{cel.ListType(cel.DynType)}, cel.DynType,
			cel.UnaryBinding(func(v ref.Val) ref.Val { return total(v.(traits.Lister)) }))))
	if err != nil {
		return fail(err)
	}
	ast, issues := env.Compile(text)
	if issues.Err() != nil {
		return fail(issues.Err())
	}
	program, err := env.Program(ast, cel.EvalOptions(cel.OptOptimize))
	if err != nil {
		return fail(err)
	}
	return engine{name, exact,
		func(p *drawn) (any, error) {
			list := make([]ref.Val, len(p.rows))
			for i := range p.rows {
				e := form(&p.rows[i])
				m := map[ref.Val]ref.Val{types.String("species"): types.String(e.species), types.String("meat"): types.Bool(e.meat),
					types.String("red"): types.Bool(e.red), types.String("oil"): types.Bool(e.oil)}
				var bad error
				e.each(func(name, text string) {
					v, err := number(text)
					bad = errors.Join(bad, err)
					m[types.String(name)] = v
				})
				if bad != nil {
					return nil, bad
				}
				list[i] = types.NewRefValMap(types.DefaultTypeAdapter, m)
			}
			return map[string]any{"servings": types.NewRefValList(types.DefaultTypeAdapter, list), "gram": gram}, nil
		},
		func(in any) (verdicts, error) {
			out, _, err := program.Eval(in)
			if err != nil {
				return verdicts{}, err
			}
			got, ok := out.(traits.Mapper)
			if !ok {
				return verdicts{}, fmt.Errorf("found %s where the verdicts should be", out.Type().TypeName())
			}
			var v verdicts
			for i, id := range ruleIDs() {
				met, ok := got.Find(types.String(id))
				if !ok {
					return v, fmt.Errorf("no verdict on %s", id)
				}
				v[i] = met == types.True
			}
			return v, nil
		}}, nil
}

// celDoubles is the language with its own numbers.
func celDoubles() (engine, error) {
	return celEngine("CEL, doubles", false, celText, types.Double(1), decimals,
		func(text string) (ref.Val, error) {
			f, err := strconv.ParseFloat(text, 64)
			return types.Double(f), err
		},
		func(list traits.Lister) ref.Val {
			sum := types.Double(0)
			for it := list.Iterator(); it.HasNext() == types.True; {
				d, ok := it.Next().(types.Double)
				if !ok {
					return types.NewErr("total: not a double")
				}
				sum += d
			}
			return sum
		})
}

// celExact gives the language numbers that are exact: products, sums and
// comparisons are registered through the type.
func celExact() (engine, error) {
	return celEngine("CEL, registered exact numbers", true, strings.ReplaceAll(celText, ".0", ""), exact{big.NewInt(1_000_000_000_000)}, wholes,
		func(text string) (ref.Val, error) {
			n, ok := new(big.Int).SetString(text, 10)
			if !ok {
				return nil, fmt.Errorf("%q is no whole number", text)
			}
			return exact{n}, nil
		},
		func(list traits.Lister) ref.Val {
			sum := new(big.Int)
			for it := list.Iterator(); it.HasNext() == types.True; {
				e, ok := it.Next().(exact)
				if !ok {
					return types.NewErr("total: not an exact number")
				}
				sum.Add(sum, e.n)
			}
			return exact{sum}
		})
}

// exact is a whole number of any length as a value of the language.
type exact struct{ n *big.Int }

func whole(v ref.Val) (*big.Int, bool) {
	switch v := v.(type) {
	case exact:
		return v.n, true
	case types.Int:
		return big.NewInt(int64(v)), true
	}
	return nil, false
}

func (e exact) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("exact cannot become %s", t)
}

func (e exact) ConvertToType(t ref.Type) ref.Val {
	return types.NewErr("exact cannot become %s", t.TypeName())
}

func (e exact) Equal(o ref.Val) ref.Val {
	n, ok := whole(o)
	return types.Bool(ok && e.n.Cmp(n) == 0)
}

func (e exact) Type() ref.Type {
	return types.NewTypeValue("exact", traits.AdderType, traits.MultiplierType, traits.ComparerType)
}

func (e exact) Value() any { return e.n }

func (e exact) Add(o ref.Val) ref.Val {
	if n, ok := whole(o); ok {
		return exact{new(big.Int).Add(e.n, n)}
	}
	return types.MaybeNoSuchOverloadErr(o)
}

func (e exact) Multiply(o ref.Val) ref.Val {
	if n, ok := whole(o); ok {
		return exact{new(big.Int).Mul(e.n, n)}
	}
	return types.MaybeNoSuchOverloadErr(o)
}

func (e exact) Compare(o ref.Val) ref.Val {
	if n, ok := whole(o); ok {
		return types.Int(e.n.Cmp(n))
	}
	return types.MaybeNoSuchOverloadErr(o)
}
