# The week of packed lunches, in GNU MathProg. The mathematics is in week.md, letter by
# letter; the data of a kitchen are written by `program::mathprog_data`.
#
#   glpsol --model week.mod --data kitchen.dat
#
# Masses are whole milligrams in the data and grams in the rows; money is in minor units,
# time in minutes. `div` is the division that drops the remainder.

# --- time -----------------------------------------------------------------------------
param N integer, >= 1;                     # lunch days 1..N; day 0 is the prep day
param C integer, > N;                      # first day of the next cycle
set DAY := 0..N;
set LUNCH := 1..N;
param eaters{LUNCH} integer, >= 0;         # thousandths of a portion
set TRIP;
param shop{TRIP} integer, >= 0;            # the day of a trip

# --- foods ----------------------------------------------------------------------------
set FOOD;
set STAPLE within FOOD;
set COUNTED := FOOD diff STAPLE;
set FAMILY;
set IN_FAMILY within COUNTED cross FAMILY;
param staple_value{STAPLE} integer;        # 1e-9 minor units a milligram
set NUTRIENT;
param holds{FOOD, NUTRIENT} default 0;     # thousandths of its unit in 100 g; unknown is 0

set PACK;
set AWAY within PACK cross TRIP, default {p in PACK, t in TRIP: 0 = 1};  # not sold at that shop
param sells{PACK} symbolic in COUNTED;     # the food a pack holds
param unit{PACK} integer, >= 1;            # mg in one unit
param units{PACK} integer, >= 1;           # units in one pack
param price{PACK} integer, >= 0;           # minor units
param lo{PACK} integer;                    # first and last day after purchase on which a
param hi{PACK} integer;                    #   unit may be opened
param life{PACK} integer;                  # days an open unit stays good
param last{PACK} integer;                  # last day after purchase it may be eaten
param value{PACK} integer;                 # 1e-9 minor units a milligram

set STOCK;                      # units on hand
param stock_of{STOCK} symbolic in COUNTED;
param left{STOCK} integer;                 # mg
param is_open{STOCK} binary;
param stock_lo{STOCK} integer;
param stock_hi{STOCK} integer;
param stock_life{STOCK} integer;
param stock_last{STOCK} integer;
param stock_value{STOCK} integer;

# --- components -----------------------------------------------------------------------
set COMPONENT;
set MIX within COMPONENT cross FOOD;
param part{MIX} integer, >= 0;             # mg of the food in `makes` mg of the component
param makes{COMPONENT} integer, >= 1;
param keeps{COMPONENT} integer, >= 0;      # days after cooking
param batch_minutes{COMPONENT} >= 0;       # of a batch
param rate{COMPONENT} >= 0;                # minutes a finished milligram
param watched{COMPONENT} >= 0, default 0;  # passive minutes of a batch at which the cook stays

# --- recipes --------------------------------------------------------------------------
set RECIPE;
set FORM;
param form{RECIPE} symbolic in FORM;
set PROTEIN;
set OF_PROTEIN within RECIPE cross PROTEIN;
param minutes{RECIPE} >= 0;
set SHUT within RECIPE cross LUNCH;  # days on which it may not be served
set TAKE dimen 3;                          # recipe, line, alternative
param mg{TAKE} integer, >= 0;              # of a portion of factor 1
set FOOD_TAKE dimen 4;          # an alternative that is a food
set MIX_TAKE dimen 4;           # an alternative that is a component

# --- wishes ---------------------------------------------------------------------------
param aim symbolic in {"one", "foods", "cost", "spoiled", "minutes"}, default "one";
set SETTLED;                    # aims settled before this one
param best{SETTLED};
param spoil_weight >= 0, default 1;
param food_price >= 0, default 0;
param minute_price >= 0, default 0;
param watch_price >= 0, default 0;
param trip_price{TRIP} >= 0, default 0;
param carry_credit >= 0, < 1, default 0;
param liking{RECIPE, LUNCH} default 0;     # the sum of day preferences
param cap default -1;                      # -1: not in force
param cap_by_families binary, default 0;
param budget default -1;
param most_minutes{DAY} default -1;
param most_kitchen{DAY} default -1;        # active and watched ones
set IDLE within DAY;            # days on which nothing is cooked ahead
set FLOOR dimen 2;              # (number of the rule, nutrient)
set CEILING dimen 2;
param floor_of{FLOOR};                     # thousandths
param ceiling_of{CEILING};
set RULE := setof{(i, k) in FLOOR union CEILING} i;
param weekly{RULE} binary, default 0;      # of the week's mean, not of each lunch
param summed{RULE} binary, default 0;      # a weekly one: of the week's sum, not of its mean
param repeats integer, >= 1, default 1;
param per_form default -1;
param never_adjacent binary, default 0;
param per_protein default -1;
param sameness default -1;                 # thousandths
param sameness_adjacent default -1;
set BAN_FOOD within FOOD;
set BAN_COMPONENT within COMPONENT;
set BAN_RECIPE within RECIPE;
set PIN_RECIPE dimen 2;         # recipe and day, day 0: any
set PIN_FOOD dimen 2;

# --- what follows from the data -------------------------------------------------------
# what a lunch asks of an alternative, all eaters
param asked{(r, l, j) in TAKE, d in LUNCH} := (mg[r, l, j] * eaters[d]) div 1000;
set USES := setof{(r, l, j, f) in FOOD_TAKE} (r, l, j, f) union
            setof{(r, l, j, c) in MIX_TAKE, (c, f) in MIX} (r, l, j, f);
# mg of a food in a portion, and in a lunch
param portion{(r, l, j, f) in USES} :=
  if (r, l, j, f) in FOOD_TAKE then mg[r, l, j]
  else sum{(r, l, j, c) in MIX_TAKE: (c, f) in MIX} (mg[r, l, j] * part[c, f]) div makes[c];
param use{(r, l, j, f) in USES, d in LUNCH} :=
  if (r, l, j, f) in FOOD_TAKE then asked[r, l, j, d]
  else sum{(r, l, j, c) in MIX_TAKE: (c, f) in MIX} (asked[r, l, j, d] * part[c, f]) div makes[c];
set BANNED := setof{(r, l, j, f) in USES: f in BAN_FOOD} (r, l, j) union
              setof{(r, l, j, c) in MIX_TAKE: c in BAN_COMPONENT} (r, l, j);
param content{(r, l, j) in TAKE, k in NUTRIENT} :=
  sum{(r, l, j, f) in USES} portion[r, l, j, f] * holds[f, k] / 100000;

# counted foods of a recipe as it is written, for sameness
param written{r in RECIPE, f in COUNTED} := sum{(r, l, 1, f) in USES} portion[r, l, 1, f];
param size{r in RECIPE} := sqrt(sum{f in COUNTED} written[r, f] ** 2);
param alike{r in RECIPE, s in RECIPE} :=
  if size[r] = 0 or size[s] = 0 then 0
  else 1000 * (sum{f in COUNTED} written[r, f] * written[s, f]) / (size[r] * size[s]);

# the most a lunch day can use of a food, and how many packs that may take: as many units as
# the need fills, one begun on each day
set LINE := setof{(r, l, j) in TAKE} (r, l);
param most_use{f in COUNTED, d in LUNCH} :=
  max{r in RECIPE} sum{(r, l) in LINE}
    max(0, max{(r, l, j) in TAKE} if (r, l, j, f) in USES then use[r, l, j, f, d] else 0);
param most_packs{p in PACK} :=
  ceil(((sum{d in LUNCH} most_use[sells[p], d]) div unit[p] + N + 1) / units[p]);

set OPENING := setof{p in PACK, t in TRIP, d in DAY:
  d >= shop[t] + lo[p] and d <= shop[t] + hi[p]} (p, t, d);
param good{(p, t, d) in OPENING} := min(d + life[p], shop[t] + last[p]);
set STOCK_OPENING := setof{s in STOCK, d in DAY:
  d >= stock_lo[s] and d <= stock_hi[s]} (s, d);
param stock_good{(s, d) in STOCK_OPENING} :=
  if is_open[s] then stock_hi[s] else min(d + stock_life[s], stock_last[s]);

# --- decisions ------------------------------------------------------------------------
var x{RECIPE, LUNCH} binary;
var a{TAKE, LUNCH} binary;
var b{COMPONENT, DAY} binary;
var w{(r, l, j, c) in MIX_TAKE, d in LUNCH, e in DAY: e <= d and e >= d - keeps[c]} >= 0, <= 1;
var n{p in PACK, TRIP} integer, >= 0, <= most_packs[p];
var o{(p, t, d) in OPENING} integer, >= 0;
var q{(p, t, d) in OPENING, e in DAY: e >= d and e <= good[p, t, d]} >= 0;
var so{STOCK_OPENING} binary;
var sq{(s, d) in STOCK_OPENING, e in DAY: e >= d and e <= stock_good[s, d]} >= 0;
var y{COUNTED} binary;
var h{FAMILY} binary;
var g{TRIP} binary;
var u{r in RECIPE} binary;                 # the recipe is in the week

# --- sums, each a variable so that it can be read off --------------------------------------
var foods >= 0;
var cost >= 0;
var day_minutes{DAY} >= 0;
var day_watched{DAY} >= 0;
var spoiled >= 0;                          # value, minor units
var kept >= 0;
# what is left in grams: of units opened on a day, of units never opened
var rest{OPENING} >= 0;
var shut_rest{PACK, TRIP} >= 0;
var stock_rest{STOCK_OPENING} >= 0;
var stock_shut{STOCK} >= 0;

param is_aim{k in {"one", "foods", "cost", "spoiled", "minutes"}} := if aim = k then 1 else 0;

minimize objective:
  (is_aim["foods"] + is_aim["one"] * food_price) * foods
  + (is_aim["cost"] + is_aim["one"]) * cost
  + (is_aim["spoiled"] + is_aim["one"] * spoil_weight) * spoiled
  + (is_aim["minutes"] + is_aim["one"] * minute_price) * sum{d in DAY} day_minutes[d]
  + is_aim["one"] * watch_price * sum{d in DAY} day_watched[d]
  - is_aim["one"] * carry_credit * kept
  + is_aim["one"] * sum{t in TRIP} trip_price[t] * g[t]
  + is_aim["one"] * sum{r in RECIPE, d in LUNCH} liking[r, d] * x[r, d];

s.t. settled{k in SETTLED}:
  (if k = "foods" then 1 else 0) * foods + (if k = "cost" then 1 else 0) * cost
  + (if k = "spoiled" then 1 else 0) * spoiled
  + (if k = "minutes" then 1 else 0) * sum{d in DAY} day_minutes[d] <= best[k];

s.t. sum_foods: foods = sum{f in COUNTED} y[f];
s.t. sum_cost: cost = sum{p in PACK, t in TRIP} price[p] * n[p, t]
  + sum{(r, l, j, f) in USES, d in LUNCH: f in STAPLE}
      use[r, l, j, f, d] * staple_value[f] / 1000000000 * a[r, l, j, d];
s.t. sum_minutes{d in DAY}: day_minutes[d] =
  sum{r in RECIPE, e in LUNCH: e = d} minutes[r] * x[r, e]
  + sum{c in COMPONENT} batch_minutes[c] * b[c, d]
  + sum{(r, l, j, c) in MIX_TAKE, e in LUNCH: d <= e and d >= e - keeps[c]}
      rate[c] * asked[r, l, j, e] * w[r, l, j, c, e, d];
s.t. sum_watched{d in DAY}: day_watched[d] = sum{c in COMPONENT} watched[c] * b[c, d];
s.t. sum_rest{(p, t, d) in OPENING}: rest[p, t, d] = unit[p] / 1000 * o[p, t, d]
  - sum{e in DAY: e >= d and e <= good[p, t, d]} q[p, t, d, e];
s.t. sum_shut{p in PACK, t in TRIP}: shut_rest[p, t] = unit[p] / 1000 *
  (units[p] * n[p, t] - sum{(p, t, d) in OPENING} o[p, t, d]);
s.t. sum_stock_rest{(s, d) in STOCK_OPENING}: stock_rest[s, d] = left[s] / 1000 * so[s, d]
  - sum{e in DAY: e >= d and e <= stock_good[s, d]} sq[s, d, e];
s.t. sum_stock_shut{s in STOCK}: stock_shut[s] =
  left[s] / 1000 * (1 - sum{(s, d) in STOCK_OPENING} so[s, d]);
s.t. sum_spoiled: spoiled =
  sum{(p, t, d) in OPENING: good[p, t, d] < C} value[p] / 1000000 * rest[p, t, d]
  + sum{p in PACK, t in TRIP: shop[t] + hi[p] < C} value[p] / 1000000 * shut_rest[p, t]
  + sum{(s, d) in STOCK_OPENING: stock_good[s, d] < C} stock_value[s] / 1000000 * stock_rest[s, d]
  + sum{s in STOCK: stock_hi[s] < C} stock_value[s] / 1000000 * stock_shut[s];
s.t. sum_kept: kept =
  sum{(p, t, d) in OPENING: good[p, t, d] >= C} value[p] / 1000000 * rest[p, t, d]
  + sum{p in PACK, t in TRIP: shop[t] + hi[p] >= C} value[p] / 1000000 * shut_rest[p, t]
  + sum{(s, d) in STOCK_OPENING: stock_good[s, d] >= C} stock_value[s] / 1000000 * stock_rest[s, d]
  + sum{s in STOCK: stock_hi[s] >= C} stock_value[s] / 1000000 * stock_shut[s];

# --- 1, 2: the week ---------------------------------------------------------------------
s.t. one_lunch{d in LUNCH}: sum{r in RECIPE} x[r, d] = 1;
s.t. how_often{r in RECIPE}: sum{d in LUNCH} x[r, d] <= repeats;
s.t. shut_days{(r, d) in SHUT}: x[r, d] = 0;
s.t. one_alternative{(r, l) in LINE, d in LUNCH}: sum{(r, l, j) in TAKE} a[r, l, j, d] = x[r, d];

# --- 3: components ------------------------------------------------------------------------
s.t. shared{(r, l, j, c) in MIX_TAKE, d in LUNCH: asked[r, l, j, d] > 0}:
  sum{e in DAY: e <= d and e >= d - keeps[c]} w[r, l, j, c, d, e] = a[r, l, j, d];
s.t. cooked{(r, l, j, c) in MIX_TAKE, d in LUNCH, e in DAY:
    asked[r, l, j, d] > 0 and e <= d and e >= d - keeps[c]}:
  w[r, l, j, c, d, e] <= b[c, e];

# --- 4, 5: opening and drawing ----------------------------------------------------------
s.t. use_met{f in COUNTED, e in DAY}:
  sum{(p, t, d) in OPENING: sells[p] = f and d <= e and e <= good[p, t, d]} q[p, t, d, e]
  + sum{(s, d) in STOCK_OPENING: stock_of[s] = f and d <= e and e <= stock_good[s, d]} sq[s, d, e]
  = sum{(r, l, j, f) in FOOD_TAKE, d in LUNCH: d = e} use[r, l, j, f, d] / 1000 * a[r, l, j, d]
  + sum{(r, l, j, c) in MIX_TAKE, d in LUNCH:
      (c, f) in MIX and asked[r, l, j, d] > 0 and e <= d and e >= d - keeps[c]}
      use[r, l, j, f, d] / 1000 * w[r, l, j, c, d, e];
s.t. opened_to_use{(p, t, d) in OPENING: good[p, t, d] >= d}: q[p, t, d, d] >= 0.001 * o[p, t, d];
s.t. stock_opened_to_use{(s, d) in STOCK_OPENING: stock_good[s, d] >= d}:
  sq[s, d, d] >= 0.001 * so[s, d];
s.t. opened_once{s in STOCK}: sum{(s, d) in STOCK_OPENING} so[s, d] <= 1;

# --- 6: shopping ------------------------------------------------------------------------
s.t. counted{p in PACK, t in TRIP}: n[p, t] <= most_packs[p] * y[sells[p]];
s.t. not_counted{f in COUNTED}: y[f] <= sum{p in PACK, t in TRIP: sells[p] = f} n[p, t];
s.t. made{p in PACK, t in TRIP}: n[p, t] <= most_packs[p] * g[t];
s.t. not_sold{(p, t) in AWAY}: n[p, t] = 0;
param on_hand{f in COUNTED} := sum{s in STOCK: stock_of[s] = f} left[s];
s.t. bought{(r, l, j, f) in USES, d in LUNCH: f in COUNTED and use[r, l, j, f, d] > on_hand[f]}:
  a[r, l, j, d] <= y[f];
s.t. in_family{(f, k) in IN_FAMILY}: y[f] <= h[k];
s.t. foods_cap{k in 1..1: cap >= 0 and not cap_by_families}: sum{f in COUNTED} y[f] <= cap;
s.t. families_cap{k in 1..1: cap >= 0 and cap_by_families}:
  sum{m in FAMILY} h[m] + sum{f in COUNTED: card(setof{(f, m) in IN_FAMILY} m) = 0} y[f] <= cap;
s.t. spending{k in 1..1: budget >= 0}: sum{p in PACK, t in TRIP} price[p] * n[p, t] <= budget;

# --- 7: nutrition -----------------------------------------------------------------------
s.t. lunch_floor{(i, k) in FLOOR, d in LUNCH: not weekly[i]}:
  sum{(r, l, j) in TAKE} content[r, l, j, k] / 1000 * a[r, l, j, d] >= floor_of[i, k] / 1000;
s.t. lunch_ceiling{(i, k) in CEILING, d in LUNCH: not weekly[i]}:
  sum{(r, l, j) in TAKE} content[r, l, j, k] / 1000 * a[r, l, j, d] <= ceiling_of[i, k] / 1000;
s.t. week_floor{(i, k) in FLOOR: weekly[i]}:
  sum{(r, l, j) in TAKE, d in LUNCH} content[r, l, j, k] / 1000 * a[r, l, j, d]
    >= (if summed[i] then 1 else N) * floor_of[i, k] / 1000;
s.t. week_ceiling{(i, k) in CEILING: weekly[i]}:
  sum{(r, l, j) in TAKE, d in LUNCH} content[r, l, j, k] / 1000 * a[r, l, j, d]
    <= (if summed[i] then 1 else N) * ceiling_of[i, k] / 1000;

# --- 8: minutes -------------------------------------------------------------------------
s.t. time{d in DAY: most_minutes[d] >= 0}: day_minutes[d] <= most_minutes[d];
s.t. kitchen{d in DAY: most_kitchen[d] >= 0}:
  day_minutes[d] + day_watched[d] <= most_kitchen[d];
s.t. idle{d in IDLE, c in COMPONENT}: b[c, d] = 0;

# --- 9: variety -------------------------------------------------------------------------
s.t. form_often{k in FORM: per_form >= 0}:
  sum{r in RECIPE, d in LUNCH: form[r] = k} x[r, d] <= per_form;
s.t. form_beside{k in FORM, d in LUNCH: never_adjacent and d < N}:
  sum{r in RECIPE: form[r] = k} (x[r, d] + x[r, d + 1]) <= 1;
s.t. protein_often{k in PROTEIN: per_protein >= 0}:
  sum{(r, k) in OF_PROTEIN, d in LUNCH} x[r, d] <= per_protein;
s.t. in_week{r in RECIPE, d in LUNCH: sameness >= 0}: x[r, d] <= u[r];
# a root is not exact: what is alike to a hundred-millionth more than allowed is alike
s.t. not_alike{r in RECIPE, s in RECIPE: sameness >= 0 and r < s and alike[r, s] > sameness + 1e-8}:
  u[r] + u[s] <= 1;
s.t. not_alike_beside{r in RECIPE, s in RECIPE, d in LUNCH:
    sameness_adjacent >= 0 and r <> s and d < N and alike[r, s] > sameness_adjacent + 1e-8}:
  x[r, d] + x[s, d + 1] <= 1;

# --- 10: bans and pins ------------------------------------------------------------------
s.t. ban_recipe{r in BAN_RECIPE, d in LUNCH}: x[r, d] = 0;
s.t. ban_take{(r, l, j) in BANNED, d in LUNCH}: a[r, l, j, d] = 0;
s.t. pin_recipe{(r, v) in PIN_RECIPE}: sum{d in LUNCH: v = 0 or v = d} x[r, d] >= 1;
set HAS := FOOD_TAKE union setof{(r, l, j, c) in MIX_TAKE, (c, f) in MIX} (r, l, j, f);
s.t. pin_food{(f, v) in PIN_FOOD}:
  sum{(r, l, j, f) in HAS, d in LUNCH: v = 0 or v = d} a[r, l, j, d] >= 1;

solve;

printf "objective %.9f\n", objective;
for {d in LUNCH, r in RECIPE: x[r, d] > 0.5} printf "day %d: %s\n", d, r;

end;
