// A flawed generator: it copies the amount of dry food.
//
// It feeds 6 % of body weight a day, which is right for dry food of about 3.5 kcal
// a gram. Raw food of about 1.3 kcal a gram then holds a third of the energy that
// was meant. The corpus must find that: energy-floor, energy-band.
//
// It also shows all that a harness in JavaScript needs: Node 18 and nothing else.
//
//	audit -generator 'node examples/audit/generators/javascript/dry_amount.mjs'

import { createInterface } from "node:readline";

const slots = ["muscle", "heart", "bone", "liver", "organ"];

// Masses are whole grams here, held in integers; texts such as "1.2 kg" are read
// once. Nothing is judged in floats: this program only proposes.
function grams(text) {
  const unit = { mg: 0.001, g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 };
  let total = 0, number = 0;
  for (const word of text.split(" ")) {
    if (word in unit) { total += number * unit[word]; number = 0; }
    else if (word.includes("/")) { const [a, b] = word.split("/"); number += a / b; }
    else number += Number(word);
  }
  return Math.floor(total);
}

const percent = (text) => parseFloat(text) / 100;

class Refused extends Error {
  constructor(because, reason, lacks = []) { super(reason); this.because = because; this.lacks = lacks; }
}

function slotOf(food) {
  if (["egg", "oil", "supplement", "dry-food", "dried", "fish"].includes(food.kind) || food.complete) return null;
  const parts = food.parts ?? {};
  if (parts.bone) return "bone";
  for (const s of slots) if (parts[s] && percent(parts[s][1]) === 1) return s;
  return null;
}

function plan(q) {
  const house = q.household;
  const foods = new Map(q.foods.map((f) => [f.id, f]));
  if (!q.needs.some((n) => n.band)) throw new Refused("no-figure", "No figure is known for the need of these animals.");
  const have = new Map();
  let unsafe = 0;
  const add = (entry, key, times) => {
    const food = foods.get(entry.food);
    const hazards = food.hazards ?? [];
    if (hazards.some((h) => h.gravity === "stop")) { unsafe++; return; }
    if (hazards.some((h) => h.gravity === "mend")) return;
    const kinds = [food.id, food.species, ...(food.contains ?? [])];
    if (house.animals.some((a) => (a.never ?? []).some((n) => kinds.includes(n)))) return;
    const mass = key in entry ? grams(entry[key]) : grams(food.piece.typical) * entry.pieces;
    have.set(food.id, (have.get(food.id) ?? 0) + mass * times);
  };
  for (const lot of house.stock ?? []) {
    if ((lot["best-before"] ?? "9999") < house["as-of"]) continue;
    if ((q.recalled ?? []).some((r) => r.food === lot.food && r.supplier === lot.supplier && (r.lot ?? "") === (lot.lot ?? ""))) { unsafe++; continue; }
    add(lot, "mass", 1);
  }
  for (const offer of house.offers ?? []) add(offer, "pack", offer.max ?? 40);
  if (have.size === 0) throw new Refused(unsafe ? "unsafe" : "lacking", "Nothing in the house may be fed.");

  const mix = new Map();
  const shares = q.target.shares;
  if (shares.length === 0) {
    const whole = [...have.keys()].filter((id) => foods.get(id).complete && foods.get(id).kind !== "dry-food");
    if (whole.length === 0) throw new Refused("lacking", "No whole prey and no complete mix is in the house.");
    for (const id of whole) mix.set(id, 1 / whole.length);
  } else {
    const of = (s) => [...have.keys()].filter((id) => slotOf(foods.get(id)) === s);
    const lacks = shares.map((s) => s.slot).filter((s) => of(s).length === 0);
    const kinds = new Set([...have.keys()].filter((id) => slotOf(foods.get(id))).map((id) => foods.get(id).species));
    if (![...have.keys()].some((id) => slotOf(foods.get(id)) && foods.get(id).colour === "red")) lacks.push("red-meat");
    if (kinds.size < 3) lacks.push("kinds");
    if (lacks.length > 0) throw new Refused("lacking", "The house lacks " + lacks.join(", ") + ".", lacks);
    for (const s of shares) {
      if (s.slot === "muscle" || s.slot === "bone") continue;
      const list = of(s.slot);
      for (const id of list) mix.set(id, percent(s.aim) / list.length);
    }
    const bone = of("bone")[0];
    const b = shares.find((s) => s.slot === "bone");
    const want = (percent(b.low) + percent(b.high)) / 2;
    mix.set(bone, q.target["bone-means"] === "bone-in-meat" ? want : want / percent(foods.get(bone).parts.bone[1]));
    const rest = 1 - [...mix.values()].reduce((x, y) => x + y, 0);
    const meats = of("muscle");
    for (const id of meats) mix.set(id, rest / meats.length);
  }

  // The flaw: six percent of body weight, whatever the food holds.
  const animals = house.animals.filter((_, i) => q.needs[i].band);
  const total = animals.reduce((sum, a) => sum + grams(a.weight) * 0.06, 0) * q.days;

  const days = [];
  for (let d = 0; d < q.days; d++) {
    const meals = [];
    const groups = new Map();
    animals.forEach((a) => {
      const key = a.group ?? a.id;
      groups.set(key, [...(groups.get(key) ?? []), a]);
    });
    for (const members of groups.values()) {
      const weight = members.reduce((sum, a) => sum + grams(a.weight), 0) / animals.reduce((sum, a) => sum + grams(a.weight), 0);
      const n = Math.max(house["meals-per-day"] ?? 1, ...members.map((a) => q.needs.find((x) => x.animal === a.id).meals));
      for (let m = 1; m <= n; m++) {
        const servings = [];
        for (const [food, share] of mix) {
          const mass = Math.max(1, Math.round((total * share * weight) / (q.days * n)));
          servings.push({ food, mass: `${mass} g` });
        }
        meals.push({ meal: m, for: members.map((a) => a.id), servings });
      }
    }
    days.push({ date: new Date(Date.parse(q.start) + d * 86400000).toISOString().slice(0, 10), meals });
  }
  return { schema: "fitchet.plan/1", household: house.household, start: q.start, target: q.target.id, days };
}

const say = (message) => process.stdout.write(JSON.stringify(message) + "\n");

for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  const message = JSON.parse(line);
  if (message.type === "hello") {
    say({ type: "hello", protocol: "fitchet.protocol/1", name: "copies the amount of dry food", version: "1", language: "JavaScript" });
  } else if (message.type === "ask") {
    const answer = { type: "answer", id: message.id };
    try {
      answer.plan = plan(message.request);
    } catch (error) {
      if (error instanceof Refused) answer.refused = { because: error.because, reason: error.message, lacks: error.lacks };
      else answer.fault = String(error);
    }
    say(answer);
  } else if (message.type === "bye") {
    break;
  }
}
