// Cuts each line of a .gyle file into its pieces, as the language's own reader does.
//
// A line is read whole at its start, held against the tables of words.h, and its pieces are then given one by
// one. A line that cannot be read gives a piece the grammar never asks for, and so costs that line only.

#include "tree_sitter/alloc.h"
#include "tree_sitter/parser.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

enum Piece {
  NEWLINE, BLOCK_END, FAULT, FAULT_TEXT, HEADER, ENTRY, ITEM, TEXT_FACT, EXPECTATION, CONDITION, QUERY, LETTING,
  REMARK, COMMENT, STAMP, PROSE, UNREAD, BLOCK_KEYWORD, ENTRY_KEYWORD, CLAUSE_KEYWORD, NAME, STRING, LABEL,
  NUMBER, UNIT, DATE, CLOCK, DAY, SCORE, RANGE_SIGN, TOLERANCE_SIGN, PROPERTY, FLAG, WORDS, TEXT, FIGURE,
  IDENTIFIER, FUNCTION, RELATION, PLUS, MINUS, TIMES, POWER, OPEN_BRACKET, CLOSE_BRACKET, OPEN_PARENTHESIS,
  CLOSE_PARENTHESIS, COMMA, EQUALS, QUESTION,
};

enum SlotKind {
  SLOT_OF, SLOT_REF, SLOT_WORD, SLOT_WORDS, SLOT_TEXT, SLOT_STR, SLOT_ID, SLOT_DATE, SLOT_CLOCK, SLOT_DAY,
  SLOT_SCORE, SLOT_EXPR, SLOT_CHANCE,
};
enum { KEY_ANY, KEY_LET, KEY_BOIL };
enum { PROPERTY_FIELD, PROPERTY_FLAG, PROPERTY_EITHER, PROPERTY_OR };
enum { CASE_FREE, CASE_SMALL_FIRST, CASE_CAPITALS };
enum { UNIT_OTHER, UNIT_STEP, UNIT_COUNT };

typedef struct { uint8_t kind; uint64_t kinds; const char *words; } Slot;
typedef struct { uint8_t word; const Slot *takes; uint8_t count; } ClauseSpec;
typedef struct {
  const char *word; uint8_t key; uint8_t text; uint8_t optional; uint8_t amount_leads;
  uint16_t needs;     // the clause without which it says nothing, as a bit
  const Slot *takes; uint8_t count; const ClauseSpec *clauses; uint8_t clause_count;
} EntrySpec;
typedef struct {
  const char *word; uint8_t optional; uint8_t queries; const Slot *takes; uint8_t count;
  const ClauseSpec *clauses; uint8_t clause_count; const EntrySpec *entries; uint8_t entry_count;
  uint8_t has_items; const ClauseSpec *items; uint8_t item_clauses; uint64_t amounts; uint8_t bare;
} BlockSpec;
typedef struct { const char *word; uint8_t kind; uint8_t text; const Slot *takes; uint8_t count; } PropertySpec;
typedef struct { const char *text; uint8_t row; uint8_t letter_case; uint8_t symbol; uint8_t degree; } Spelling;
typedef struct { uint64_t kinds; uint8_t dimension; } UnitSpec;
typedef struct { uint8_t above; uint8_t below; uint64_t kinds; } Ratio;
typedef struct { uint8_t above; uint8_t below; uint8_t unsure; } Sum;
typedef struct { uint32_t first; uint32_t last; } Range;

#include "words.h"

#define LENGTH(table) ((int)(sizeof(table) / sizeof((table)[0])))
#define MOST_NODES 4096
#define MOST_NESTED 16
#define MOST_SIGNS 1000
// What fits into the state that the editor keeps for each piece.
#define MOST_PIECES 240

// What waits to be given: blanks before it, its length.
typedef struct { uint8_t piece; uint8_t blanks; uint16_t length; } Waiting;

typedef struct {
  uint8_t kind;       // what the entries below are read as
  uint8_t in_block, in_line, conflict, said;
  uint16_t next, count;
  Waiting waiting[MOST_PIECES];
} State;

typedef struct { bool present; bool wrong; uint64_t kinds; uint8_t dimension; int id; } Unit;
typedef struct { double number; Unit unit; int start, end, unit_start; } Measure;
enum ValueKind { PLAIN, RANGE, TOLERANCE, COMPUTED, A_DATE, A_CLOCK, A_DAY, A_DAY_RANGE, A_SCORE, A_STRING };
typedef struct { uint8_t kind; Measure first, second; int start, end; } Value;
enum NodeKind { NOTHING, VALUE_NODE, NAME_NODE, PROPS_NODE, CLAUSE_NODE, LABEL_NODE, PROPERTY_NODE };
typedef struct {
  uint8_t kind, word, quoted, has_value, has_words;
  int clause;         // the clause it belongs to, or -1
  const PropertySpec *property;
  Value value;
  int start, end;     // of names; inside the quotes
} Node;
typedef struct { uint8_t piece; int start, end; } Cut;

typedef struct {
  uint32_t *text;
  int length, room;
  // The reading of a line.
  int origin;         // where the text being read begins
  int stop;           // one past its last character
  uint16_t needs, stops;
  bool words_first, scores, boil;
  int signs, notes;
  Node *nodes; int node_count;
  Cut *cuts; int cut_count;
  // What it may hold.
  const Slot *takes; int takes_count, optional;
  const ClauseSpec *clauses; int clause_count;
  bool item, header;
  uint64_t amounts;
  bool fault, fatal;
} Line;

typedef struct { State state; Line line; } Scanner;

// Characters.

// `strchr`, which grammars built for the web do not have.
static const char *find_char(const char *text, char wanted) {
  for (; *text; text++) if (*text == wanted) return text;
  return NULL;
}

static bool within(const Range *ranges, int count, uint32_t c) {
  int low = 0, high = count - 1;
  while (low <= high) {
    int middle = (low + high) / 2;
    if (c < ranges[middle].first) high = middle - 1;
    else if (c > ranges[middle].last) low = middle + 1;
    else return true;
  }
  return false;
}
static bool ascii_letter(uint32_t c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
static bool digit(uint32_t c) { return c >= '0' && c <= '9'; }
static bool letter(uint32_t c) {
  return c < 0x80 ? ascii_letter(c) : within(letters, LENGTH(letters), c);
}
static bool alphanumeric(uint32_t c) {
  return c < 0x80 ? ascii_letter(c) || digit(c) : within(letters_and_digits, LENGTH(letters_and_digits), c);
}
static bool blank(uint32_t c) {
  return c == ' ' || (c >= 9 && c <= 13) || c == 0x85 || c == 0xa0 || c == 0x1680 || (c >= 0x2000 && c <= 0x200a) ||
         c == 0x2028 || c == 0x2029 || c == 0x202f || c == 0x205f || c == 0x3000;
}
static bool curly(uint32_t c) { return c >= 0x201c && c <= 0x201f; }
static uint32_t lower(uint32_t c) { return c >= 'A' && c <= 'Z' ? c + 32 : c; }

#define NO_CHARACTER 0xffffffffu
static uint32_t at(const Line *l, int i) { return i >= 0 && i < l->stop ? l->text[i] : NO_CHARACTER; }
static int blanks(const Line *l, int i) {
  while (i < l->stop && blank(l->text[i])) i++;
  return i;
}
static int unit_blanks(const Line *l, int i) {
  for (;; i++) {
    uint32_t c = at(l, i);
    if (c != ' ' && c != '\t' && c != 0xa0 && c != 0x202f && c != 0x2007) return i;
  }
}
static bool mark(uint32_t c) { return c == '[' || c == ']' || c == '(' || c == ')' || c == '"' || c == '#'; }
static int word_end(const Line *l, int i) {
  while (i < l->stop && !blank(l->text[i]) && !mark(l->text[i]) && !curly(l->text[i])) i++;
  return i;
}
static bool ends_word(const Line *l, int i) {
  uint32_t c = at(l, i);
  if (c == NO_CHARACTER || c == ' ' || c == '\t' || c == ',' || mark(c)) return true;
  return c >= 0x80 && (blank(c) || curly(c));
}
// A word of the vocabulary: whole words, without case, hyphen and blanks alike. -1 when it is not there.
static int match_word(const Line *l, int i, const char *word, int length) {
  for (int w = 0; w < length; w++) {
    uint32_t c = at(l, i);
    if (word[w] == ' ' || word[w] == '-') {
      if (c == '-') i++;
      else {
        int next = blanks(l, i);
        if (next == i) return -1;
        i = next;
      }
    } else if (lower(c) == lower((uint8_t)word[w])) i++;
    else return -1;
  }
  return ends_word(l, i) ? i : -1;
}
static int match(const Line *l, int i, const char *word) { return match_word(l, i, word, (int)strlen(word)); }
static bool same_words(const Line *l, int start, int end, const char *word, int length) {
  Line part = *l;
  part.stop = end;
  return match_word(&part, start, word, length) == end;
}
static bool one_of(const Line *l, int start, int end, const char *words) {
  for (const char *bar; (bar = find_char(words, '|')); words = bar + 1) {
    if (same_words(l, start, end, words, (int)(bar - words))) return true;
  }
  return false;
}

// Pieces and notes.

static void cut(Line *l, uint8_t piece, int start, int end) {
  if (l->cut_count < MOST_NODES) l->cuts[l->cut_count++] = (Cut){piece, start, end};
}
static Node *put(Line *l, uint8_t kind, int start, int end, int clause) {
  static Node spare;
  Node *node = l->node_count < MOST_NODES ? &l->nodes[l->node_count++] : &spare;
  memset(node, 0, sizeof *node);
  node->kind = kind;
  node->start = start;
  node->end = end;
  node->clause = clause;
  return node;
}
typedef struct { int cuts, nodes, notes, signs; } Mark;
static Mark here(const Line *l) { return (Mark){l->cut_count, l->node_count, l->notes, l->signs}; }
static void back(Line *l, Mark mark) {
  l->cut_count = mark.cuts;
  l->node_count = mark.nodes;
  l->notes = mark.notes;
  l->signs = mark.signs;
}

// Numbers and units.

typedef struct { double value; bool whole, fault; int end; } Number;

static int sign_length(const Line *l, int i) {
  uint32_t c = at(l, i);
  return (c == '-' || c == 0x2212) && digit(at(l, i + 1)) ? 1 : 0;
}
static int digits(const Line *l, int i) {
  int count = 0;
  while (digit(at(l, i + count))) count++;
  return count;
}
static bool scan_decimal(const Line *l, int i, Number *out) {
  int start = i + sign_length(l, i), whole = digits(l, start), end = start + whole, commas = 0;
  if (whole == 0) return false;
  for (; at(l, end) == ',' && digit(at(l, end + 1)); commas++) end += 1 + digits(l, end + 1);
  int places = at(l, end) == '.' ? digits(l, end + 1) : 0;
  if (places) end += 1 + places;
  bool thousands = commas > 1 || (commas && places), after = false;
  double value = 0, scale = 1;
  for (int n = start; n < end; n++) {
    uint32_t c = at(l, n);
    if (digit(c)) {
      if (after) value += (c - '0') * (scale /= 10);
      else value = value * 10 + (c - '0');
    } else if (!(c == ',' && thousands)) after = true;
  }
  bool large = !commas && value > 1.7976931348623157e308;
  out->value = start > i ? -value : value;
  out->whole = places == 0 && !(commas && !thousands);
  out->fault = commas > 0 || large;
  out->end = end;
  return true;
}
static bool fraction(const Line *l, int i, double *over, double *under, int *end) {
  int count = digits(l, i), value = 0;
  if (count < 1 || count > 3) return false;
  for (; count > 0; count--) value = value * 10 + (int)(at(l, i++) - '0');
  *over = value;
  if (at(l, i++) != '/') return false;
  count = digits(l, i), value = 0;
  if (count < 1 || count > 3) return false;
  for (; count > 0; count--) value = value * 10 + (int)(at(l, i++) - '0');
  *under = value;
  *end = i;
  return !((at(l, i) == '.' || at(l, i) == ',') && digit(at(l, i + 1)));
}
static bool scan_number(const Line *l, int i, Number *out) {
  if (!scan_decimal(l, i, out)) return false;
  if (!out->whole || out->fault) return true;
  int start = i + sign_length(l, i), end;
  double over, under, base = 0;
  bool found = false;
  if (at(l, out->end) == '/') found = fraction(l, start, &over, &under, &end);
  else {
    int next = unit_blanks(l, out->end);
    found = next > out->end && fraction(l, next, &over, &under, &end);
    base = out->value < 0 ? -out->value : out->value;
  }
  if (!found) return true;
  double value = under == 0 ? base : base + over / under;
  out->value = start > i ? -value : value;
  out->whole = false;
  out->fault = under == 0;
  out->end = end;
  return true;
}

static int degree_sign(const Line *l, int i) { return at(l, i) == 0xb0 || at(l, i) == 0xba ? 1 : 0; }
static bool unit_ends(const Line *l, int i) {
  uint32_t c = at(l, i);
  if (c == NO_CHARACTER) return true;
  if (c == '-' || c == '.' || c == '\'') return !(at(l, i + 1) != NO_CHARACTER && alphanumeric(at(l, i + 1)));
  if (c == '_') return false;
  return !alphanumeric(c) && !degree_sign(l, i);
}
static int unit_word(const Line *l, int i) {
  int end = i;
  while (ascii_letter(at(l, end)) || (end > i && digit(at(l, end)))) end++;
  return end == i && at(l, i) == '%' ? 1 : end - i;
}
// The length in characters of a spelling at a place, one blank standing for one or more; -1 when it is not there.
static int spelling_at(const Line *l, int i, const char *text) {
  int start = i;
  for (const uint8_t *byte = (const uint8_t *)text; *byte; byte++) {
    uint32_t wanted = *byte;
    if (wanted >= 0xe0) wanted = (wanted & 15) << 12 | (byte[1] & 63u) << 6 | (byte[2] & 63u), byte += 2;
    else if (wanted >= 0xc0) wanted = (wanted & 31) << 6 | (byte[1] & 63u), byte += 1;
    if (wanted == ' ') {
      int next = unit_blanks(l, i);
      if (next == i) return -1;
      i = next;
    } else if (lower(at(l, i)) == lower(wanted)) i++;
    else return -1;
  }
  return i - start;
}
static int first_word(const char *text) {
  int n = 0;
  while (ascii_letter((uint8_t)text[n]) || (n > 0 && digit((uint8_t)text[n]))) n++;
  return n == 0 && text[0] == '%' ? 1 : n;
}
static bool any_capital(const Line *l, int i, int length, bool all) {
  for (int n = 0; n < length; n++) {
    bool capital = at(l, i + n) >= 'A' && at(l, i + n) <= 'Z';
    if (all && !capital) return false;
    if (!all && at(l, i + n) >= 'a' && at(l, i + n) <= 'z') return true;
  }
  return all;
}
static bool wrong_case(const Line *l, const Spelling *s, int i, int length) {
  if (!s->symbol) return false;
  if (s->letter_case == CASE_SMALL_FIRST) return at(l, i) >= 'A' && at(l, i) <= 'Z';
  if (s->letter_case == CASE_CAPITALS) return any_capital(l, i, length, false);
  return false;
}
// The unit that is one whole word here.
static const Spelling *word_unit(const Line *l, int i, int length) {
  for (int n = 0; n < LENGTH(spellings); n++) {
    const Spelling *s = &spellings[n];
    if ((int)strlen(s->text) == length && spelling_at(l, i, s->text) == length) return s;
  }
  return NULL;
}
static bool row_by_id(int row, bool degree) {
  for (int n = 0; n < LENGTH(spellings); n++) {
    if (spellings[n].row == row) return !degree || spellings[n].degree;
  }
  return false;
}
// `below` of a ratio whose upper side ends at `i`; gives the end or -1.
static int ratio(const Line *l, int i, int above, bool wrong, bool money, Unit *out) {
  if (at(l, i) != '/') return -1;
  i++;
  bool hundred = digits(l, i) == 3 && at(l, i) == '1' && at(l, i + 1) == '0' && at(l, i + 2) == '0';
  if (hundred) i = unit_blanks(l, i + 3);
  int degree = degree_sign(l, i);
  i += degree;
  int length = unit_word(l, i);
  const Spelling *s = length ? word_unit(l, i, length) : NULL;
  if (!s || (degree && !s->degree)) return -1;
  int row = s->row;
  bool below_wrong = wrong_case(l, s, i, length);
  if (hundred) {
    if (row == ROW_G) row = ROW_HUNDRED_G;
    else if (row == ROW_ML) row = ROW_HUNDRED_ML;
    else return -1;
  } else if (row == ROW_WK && below_wrong) row = ROW_WEEK;
  int end = i + length;
  const Ratio *table = money ? prices : ratios;
  int count = money ? LENGTH(prices) : LENGTH(ratios);
  for (int n = 0; n < count; n++) {
    if (table[n].below == row && (money || table[n].above == above)) {
      if (!unit_ends(l, end)) return -1;
      *out = (Unit){true, wrong || below_wrong, table[n].kinds, UNIT_OTHER, 0x10000 + (above << 8) + row};
      if (money) out->id += 0x10000;
      return end;
    }
  }
  return -1;
}
static int row_or_ratio(const Line *l, int end, int row, bool wrong, Unit *out) {
  int found = ratio(l, end, row, wrong, false, out);
  if (found >= 0) return found;
  if (!unit_ends(l, end)) return -1;
  *out = (Unit){true, wrong, units[row].kinds, units[row].dimension, row};
  return end;
}
// The unit at a place; its end, or -1.
static int scan_unit(const Line *l, int start, Unit *out) {
  int i = start + degree_sign(l, start);
  bool degree = i > start;
  if (degree) i = unit_blanks(l, i);
  int length = unit_word(l, i);
  if (!degree && (spelling_at(l, i, "deg") == length || spelling_at(l, i, "degree") == length ||
                  spelling_at(l, i, "degrees") == length)) {
    degree = true;
    i = unit_blanks(l, start + length);
    length = unit_word(l, i);
  }
  if (length == 0) return -1;
  const Spelling *word = word_unit(l, i, length);
  if (degree) {
    if (!word) return -1;
    int row = word->row == ROW_L ? ROW_LOV : word->row;
    if (!row_by_id(row, true)) return -1;
    bool wrong = word->row == ROW_L ? false : wrong_case(l, word, i, length);
    return row_or_ratio(l, i + length, row, wrong, out);
  }
  // Spellings of more than one word, the longest first.
  int tried = 1 << 20;
  for (;;) {
    int best = -1, longest = -1;
    for (int n = 0; n < LENGTH(spellings); n++) {
      const char *text = spellings[n].text;
      int size = (int)strlen(text), first = first_word(text);
      if (first == size || (first + 1 == size && text[first] == '/') || first != length) continue;
      if (size <= longest || size >= tried || spelling_at(l, i, text) < 0) continue;
      best = n;
      longest = size;
    }
    if (best < 0) break;
    tried = longest;
    const Spelling *s = &spellings[best];
    bool wrong = s->letter_case == CASE_SMALL_FIRST && length == 1 && at(l, i) >= 'A' && at(l, i) <= 'Z';
    int end = row_or_ratio(l, i + spelling_at(l, i, s->text), s->row, wrong, out);
    if (end >= 0) return end;
  }
  bool capitals = any_capital(l, i, length, true), currency = false;
  if (length == 3) {
    for (const char *code = currencies; *code; code += 3) {
      if (lower(at(l, i)) == lower((uint8_t)code[0]) && lower(at(l, i + 1)) == lower((uint8_t)code[1]) &&
          lower(at(l, i + 2)) == lower((uint8_t)code[2])) currency = true;
    }
  }
  if (word && !(currency && capitals)) {
    return row_or_ratio(l, i + length, word->row, wrong_case(l, word, i, length), out);
  }
  for (int n = 0; n < LENGTH(spellings); n++) {
    const char *text = spellings[n].text;
    if ((int)strlen(text) == length + 1 && text[length] == '/' && spelling_at(l, i, text) == length + 1) {
      return ratio(l, i + length, spellings[n].row, false, false, out);
    }
  }
  if (!currency) return -1;
  int end = ratio(l, i + length, 0, !capitals, true, out);
  if (end >= 0) return end;
  if (!capitals || !unit_ends(l, i + length)) return -1;
  *out = (Unit){true, false, MONEY_KINDS, UNIT_OTHER, 0x30000};
  return i + length;
}

static bool word_goes_on(const Line *l, int end) {
  return at(l, end) == '-' && at(l, end + 1) != NO_CHARACTER && letter(at(l, end + 1));
}
static int range_sign(const Line *l, int i) {
  i = blanks(l, i);
  return at(l, i) == '.' && at(l, i + 1) == '.' ? i : -1;
}
static int tolerance_sign(const Line *l, int i, int *length) {
  i = blanks(l, i);
  *length = 0;
  if (at(l, i) == 0xb1) *length = 1;
  else if (at(l, i) == '+' && at(l, i + 1) == '/' && at(l, i + 2) == '-') *length = 3;
  else if (at(l, i) == '+' && at(l, i + 1) == '-') *length = 2;
  return *length ? i : -1;
}
static int measure(Line *l, int i, Number number, Measure *out) {
  int ignored;
  if (word_goes_on(l, number.end)) return -1;
  int unit_at = blanks(l, number.end);
  Unit unit = {0};
  int end = scan_unit(l, unit_at, &unit);
  if (end >= 0) {
    if (unit.wrong) l->notes++;
  } else {
    unit.present = false;
    end = number.end;
    if (!ends_word(l, end) && range_sign(l, end) < 0 && tolerance_sign(l, end, &ignored) < 0) return -1;
  }
  if (number.fault) l->notes++;
  *out = (Measure){number.value, unit, i, end, unit_at};
  cut(l, NUMBER, i, number.end);
  if (unit.present) cut(l, UNIT, unit_at, end);
  return end;
}
static int operand(Line *l, int i, Measure *out) {
  Number number;
  Unit unit;
  if (!digit(at(l, i)) || !scan_decimal(l, i, &number)) return -1;
  if (scan_unit(l, blanks(l, number.end), &unit) >= 0) return measure(l, i, number, out);
  if (at(l, number.end) != NO_CHARACTER && alphanumeric(at(l, number.end))) return -1;
  bool large = number.fault;
  for (int n = i; n < number.end; n++) if (at(l, n) == ',') large = false;
  if (number.fault && !large) l->notes++;
  *out = (Measure){number.value, {0}, i, number.end, number.end};
  cut(l, NUMBER, i, number.end);
  return number.end;
}
static const Sum *sum_of(const Unit *above, const Unit *below) {
  for (int n = 0; n < LENGTH(sums) && above->present && below->present; n++) {
    if (sums[n].above == above->id && sums[n].below == below->id) return &sums[n];
  }
  return NULL;
}
// Adds the neighbours that add: `2 lb 4 oz`.
static int sum(Line *l, Value *out) {
  Unit last = out->first.unit;
  for (;;) {
    int i = blanks(l, out->end);
    Number number;
    Measure more;
    Mark before = here(l);
    if (!digit(at(l, i)) || !scan_number(l, i, &number)) return out->end;
    int end = measure(l, i, number, &more);
    if (end < 0 || !sum_of(&last, &more.unit)) {
      back(l, before);
      return out->end;
    }
    const Sum *whole = sum_of(&out->first.unit, &more.unit);
    if (!whole || whole->unsure) l->notes++;
    out->end = end;
    last = more.unit;
  }
}
static int quantity(Line *l, int i, Value *out) {
  Number number;
  if (!scan_number(l, i, &number)) return -1;
  int end = measure(l, i, number, &out->first);
  if (end < 0) return -1;
  out->kind = PLAIN;
  out->start = i;
  out->end = end;
  int length = 2, sign = range_sign(l, end);
  uint8_t kind = RANGE;
  if (sign < 0) {
    sign = tolerance_sign(l, end, &length);
    kind = TOLERANCE;
  }
  if (sign < 0) return sum(l, out);
  Mark before = here(l);
  cut(l, kind == RANGE ? RANGE_SIGN : TOLERANCE_SIGN, sign, sign + length);
  int second = blanks(l, sign + length), second_end = -1;
  if (scan_number(l, second, &number)) second_end = measure(l, second, number, &out->second);
  if (second_end < 0) {
    back(l, before);
    return end;
  }
  out->kind = kind;
  return out->end = second_end;
}
static int few_digits(const Line *l, int i, int most, int *value) {
  int count = digits(l, i);
  if (count == 0 || count > most) return -1;
  for (*value = 0; count > 0; count--) *value = *value * 10 + (int)(at(l, i++) - '0');
  return i;
}
static int date(const Line *l, int i) {
  int ignored, end = few_digits(l, i, 4, &ignored);
  if (end != i + 4 || at(l, end) != '-') return -1;
  end = few_digits(l, end + 1, 2, &ignored);
  if (end < 0 || at(l, end) != '-') return -1;
  end = few_digits(l, end + 1, 2, &ignored);
  return end >= 0 && ends_word(l, end) ? end : -1;
}
static int clock(const Line *l, int i) {
  int hour, minute, end = few_digits(l, i, 2, &hour);
  if (end < 0 || at(l, end) != ':') return -1;
  int from = end + 1;
  end = few_digits(l, from, 2, &minute);
  return end == from + 2 && hour < 24 && minute < 60 && ends_word(l, end) ? end : -1;
}
static int whole(const Line *l, int i) {
  int ignored;
  if (at(l, i) == '-' || at(l, i) == 0x2212) i++;
  return few_digits(l, i, 4, &ignored);
}
static int day(const Line *l, int i, bool *range) {
  *range = false;
  if (lower(at(l, i)) != 'd' || lower(at(l, i + 1)) != 'a' || lower(at(l, i + 2)) != 'y') return -1;
  int from = blanks(l, i + 3);
  if (from == i + 3) return -1;
  int end = whole(l, from);
  if (end < 0) return -1;
  int sign = range_sign(l, end);
  if (sign >= 0) {
    int last = whole(l, blanks(l, sign + 2));
    if (last >= 0 && ends_word(l, last)) {
      *range = true;
      return last;
    }
  }
  return ends_word(l, end) ? end : -1;
}
static int score(const Line *l, int i) {
  Number number;
  if (!scan_decimal(l, i, &number)) return -1;
  int bar = blanks(l, number.end);
  if (at(l, bar) != '/' || !scan_decimal(l, blanks(l, bar + 1), &number)) return -1;
  return ends_word(l, number.end) ? number.end : -1;
}
static int plain_value(Line *l, int i, Value *out) {
  memset(out, 0, sizeof *out);
  out->start = i;
  uint32_t c = at(l, i);
  bool range;
  int end = -1;
  if (l->words_first && i == l->origin) return -1;
  if (c == 'd' || c == 'D') {
    end = day(l, i, &range);
    out->kind = range ? A_DAY_RANGE : A_DAY;
    if (end >= 0) cut(l, DAY, i, end);
  } else if (digit(c)) {
    if (l->scores && i == l->origin && (end = score(l, i)) >= 0) {
      out->kind = A_SCORE;
      cut(l, SCORE, i, end);
    } else if ((end = date(l, i)) >= 0) {
      out->kind = A_DATE;
      cut(l, DATE, i, end);
    } else if ((end = clock(l, i)) >= 0) {
      out->kind = A_CLOCK;
      cut(l, CLOCK, i, end);
    } else return quantity(l, i, out);
  } else if (c == '-' || c == 0x2212) return quantity(l, i, out);
  out->end = end;
  return end;
}

// Words, names and quotes.

typedef struct { int inner, inner_end, end; bool closed, curly; } Quoted;
static bool quoted(const Line *l, int i, Quoted *out) {
  uint32_t open = at(l, i);
  if (open != '"' && !(open != NO_CHARACTER && curly(open))) return false;
  int close = -1;
  if (open == '"') {
    for (int n = i + 1; n < l->stop && close < 0; n++) if (l->text[n] == '"') close = n;
  }
  for (int n = i + 1; n < l->stop && close < 0; n++) if (l->text[n] == '"' || curly(l->text[n])) close = n;
  out->inner = i + 1;
  if (close >= 0) {
    out->inner_end = close;
    out->end = close + 1;
    out->closed = true;
    out->curly = open != '"' || l->text[close] != '"';
    return true;
  }
  int stop = l->stop;
  for (int n = i + 1; n + 1 < l->stop && stop == l->stop; n++) if (l->text[n] == ' ' && l->text[n + 1] == '[') stop = n;
  while (stop > i + 1 && blank(l->text[stop - 1])) stop--;
  out->inner_end = out->end = stop;
  out->closed = false;
  out->curly = open != '"';
  return true;
}
static int string(Line *l, int i, uint8_t piece, Quoted *out) {
  if (!quoted(l, i, out)) return -1;
  if (out->curly) l->notes++;
  if (!out->closed) l->notes++;
  cut(l, piece, i, out->end);
  return out->end;
}
static int clause_word(const Line *l, int i, uint16_t stops, uint8_t *word) {
  static const struct { const char *text; uint8_t word; } known[] = {
    {"at", CLAUSE_AT}, {"to", CLAUSE_TO}, {"on", CLAUSE_ON}, {"from", CLAUSE_FROM}, {"in", CLAUSE_IN},
    {"over", CLAUSE_OVER}, {"for", CLAUSE_FOR}, {"by", CLAUSE_BY}, {"until", CLAUSE_UNTIL}, {"cap", CLAUSE_CAP},
    {"with", CLAUSE_WITH}, {"boil", CLAUSE_BOIL}, {"of", CLAUSE_OF}, {"planned", CLAUSE_PLANNED},
  };
  int end = word_end(l, i);
  for (int n = 0; n < LENGTH(known); n++) {
    if ((int)strlen(known[n].text) != end - i || spelling_at(l, i, known[n].text) != end - i) continue;
    if (!(stops & 1 << known[n].word)) return -1;
    *word = known[n].word;
    if (*word == CLAUSE_TO) {
      int next = blanks(l, end), next_end = word_end(l, next);
      if (next_end - next == 5 && spelling_at(l, next, "reach") == 5) {
        *word = CLAUSE_TOREACH;
        return next_end;
      }
    }
    return end;
  }
  return -1;
}
static bool number_stands(const Line *l, int i) {
  Number number;
  Unit unit;
  int ignored;
  if (!scan_number(l, i, &number) || word_goes_on(l, number.end)) return false;
  return scan_unit(l, blanks(l, number.end), &unit) >= 0 || range_sign(l, number.end) >= 0 ||
         tolerance_sign(l, number.end, &ignored) >= 0;
}
static int trim_commas(const Line *l, int start, int end) {
  while (end > start && l->text[end - 1] == ',') end--;
  return end > start ? end : -1;
}
static int name_end(const Line *l, int start, uint16_t stops) {
  int i = start, end = start;
  uint8_t ignored;
  for (;;) {
    int word = word_end(l, i);
    if (word == i || clause_word(l, i, stops, &ignored) >= 0) break;
    if ((digit(at(l, i)) || sign_length(l, i)) && number_stands(l, i)) break;
    end = word;
    i = blanks(l, word);
  }
  return trim_commas(l, start, end);
}
static int name(Line *l, int i) {
  if (!(l->words_first && i == l->origin)) return name_end(l, i, l->stops);
  int end = i;
  for (;;) {
    int from = blanks(l, end), word = word_end(l, from);
    if (word == from) return trim_commas(l, i, end);
    end = word;
  }
}
static int identifier(const Line *l, int start) {
  if (at(l, start) == NO_CHARACTER || !letter(at(l, start))) return -1;
  int i = start;
  for (uint32_t c; (c = at(l, i)) != NO_CHARACTER; i++) {
    if (c == '_' || alphanumeric(c)) continue;
    if ((c == '-' || c == '.') && at(l, i + 1) != NO_CHARACTER && alphanumeric(at(l, i + 1))) continue;
    break;
  }
  return i;
}

// Expressions: the end, or -1.

static int expression(Line *l, int i);
static int closing(Line *l, int i) {
  int start = blanks(l, i);
  if (at(l, start) == ')') {
    cut(l, CLOSE_PARENTHESIS, start, start + 1);
    return start + 1;
  }
  if (at(l, start) != NO_CHARACTER) return -1;
  l->notes++;
  return i;
}
static int in_parentheses(Line *l, int i) {
  int start = blanks(l, i);
  if (at(l, start) != '(') return -1;
  cut(l, OPEN_PARENTHESIS, start, start + 1);
  int end = expression(l, blanks(l, start + 1));
  return end < 0 ? -1 : closing(l, end);
}
static bool known_function(const Line *l, int start, int end) {
  static const char *const known[] = {"min", "max", "round", "abs", "sqrt", "step"};
  for (int n = 0; n < LENGTH(known); n++) {
    if ((int)strlen(known[n]) == end - start && spelling_at(l, start, known[n]) == end - start) return true;
  }
  return false;
}
static int simple(Line *l, int i) {
  Measure ignored;
  int end = operand(l, i, &ignored);
  if (end >= 0) return end;
  end = identifier(l, i);
  if (end < 0) return in_parentheses(l, i);
  int open = blanks(l, end);
  if (at(l, open) != '(') {
    cut(l, IDENTIFIER, i, end);
    return end;
  }
  if (!known_function(l, i, end)) return -1;
  cut(l, FUNCTION, i, end);
  cut(l, OPEN_PARENTHESIS, open, open + 1);
  end = expression(l, blanks(l, open + 1));
  while (end >= 0) {
    int comma = blanks(l, end);
    if (at(l, comma) != ',') return closing(l, end);
    cut(l, COMMA, comma, comma + 1);
    end = expression(l, blanks(l, comma + 1));
  }
  return -1;
}
// A sign between two sides, one of some; where the next side begins, or -1.
static int operator(Line *l, int i, const char *signs, uint8_t piece) {
  int start = blanks(l, i);
  uint32_t c = at(l, start);
  bool minus = c == 0x2212 && find_char(signs, '-');
  if (!minus && (c >= 0x80 || c == 0 || !find_char(signs, (char)c))) return -1;
  if (++l->signs > MOST_SIGNS) return -1;
  minus = minus || c == '-';
  int next = blanks(l, start + 1);
  bool before = start > i, after = next > start + 1;
  if (before != after || (minus && !before)) l->notes++;
  cut(l, minus ? MINUS : piece, start, start + 1);
  return next;
}
static int power(Line *l, int i) {
  int end = simple(l, i);
  if (end < 0) return -1;
  Mark before = here(l);
  int next = operator(l, end, "^", POWER);
  Measure exponent;
  int last = next < 0 ? -1 : operand(l, next, &exponent);
  if (last >= 0 && !exponent.unit.present && exponent.number < 9e15 && exponent.number == (double)(int64_t)exponent.number) return last;
  back(l, before);
  return end;
}
static int unary(Line *l, int i) {
  while (at(l, i) == '-' || at(l, i) == 0x2212) {
    if (++l->signs > MOST_SIGNS) return -1;
    cut(l, MINUS, i, i + 1);
    i = blanks(l, i + 1);
  }
  return power(l, i);
}
static int chain(Line *l, int i, bool sums) {
  int end = sums ? chain(l, i, false) : unary(l, i);
  while (end >= 0) {
    Mark before = here(l);
    int next = sums ? operator(l, end, "+-", PLUS) : operator(l, end, "*/", TIMES);
    int last = next < 0 ? -1 : sums ? chain(l, next, false) : unary(l, next);
    if (last < 0) {
      back(l, before);
      return end;
    }
    end = last;
  }
  return -1;
}
static int expression(Line *l, int i) { return chain(l, i, true); }

// Properties.

static int value(Line *l, int i, Value *out) {
  Mark before = here(l);
  int end = plain_value(l, i, out);
  if (end >= 0) return end;
  back(l, before);
  memset(out, 0, sizeof *out);
  end = in_parentheses(l, i);
  if (end < 0) {
    back(l, before);
    return -1;
  }
  out->kind = COMPUTED;
  out->start = i;
  return out->end = end;
}
static int property_ends(const Line *l, int i) {
  i = blanks(l, i);
  return at(l, i) == NO_CHARACTER || at(l, i) == ',' || at(l, i) == ']' ? i : -1;
}
static int property_words(const Line *l, int start, bool text) {
  int end = start;
  for (; end < l->stop; end++) {
    uint32_t c = l->text[end], after = at(l, end + 1);
    if (c == ']' || (c == ',' && (text ? after == NO_CHARACTER || blank(after) : !digit(after)))) break;
  }
  while (end > start && blank(l->text[end - 1])) end--;
  return end > start ? end : -1;
}
static int some_words(Line *l, int i, Node *node) {
  Quoted found;
  Mark before = here(l);
  int end = string(l, i, STRING, &found);
  if (end >= 0 && (end = property_ends(l, end)) >= 0) {
    node->start = found.inner;
    node->end = found.inner_end;
    node->has_words = true;
    return end;
  }
  back(l, before);
  end = property_words(l, i, false);
  if (end < 0) return -1;
  cut(l, WORDS, i, end);
  node->start = i;
  node->end = end;
  node->has_words = true;
  return end;
}
static const PropertySpec *property_at(const Line *l, int i, int *end) {
  for (int n = 0; n < LENGTH(properties); n++) {
    if ((*end = match(l, i, properties[n].word)) >= 0) return &properties[n];
  }
  return NULL;
}
static int property_of(Line *l, int i) {
  Node *node = put(l, PROPERTY_NODE, i, i, -1);
  Mark start = here(l);
  int after, closed, end = value(l, i, &node->value);
  if (end >= 0 && (closed = property_ends(l, end)) >= 0) {
    node->has_value = true;
    return closed;
  }
  back(l, start);
  const PropertySpec *known = property_at(l, i, &after);
  bool field = known && (known->kind == PROPERTY_FIELD || known->kind == PROPERTY_EITHER) && !known->text;
  Mark word = here(l);
  if (known && known->kind == PROPERTY_FIELD && known->text) {
    node->property = known;
    cut(l, PROPERTY, i, after);
    int from = blanks(l, after);
    end = property_words(l, from, true);
    if (end < 0) return from;
    cut(l, WORDS, from, end);
    node->start = from;
    node->end = end;
    node->has_words = true;
    return end;
  }
  if (known && (known->kind == PROPERTY_FLAG || known->kind == PROPERTY_EITHER) && (closed = property_ends(l, after)) >= 0) {
    cut(l, FLAG, i, after);
    node->kind = NOTHING;
    return closed;
  }
  if (field) {
    node->property = known;
    cut(l, PROPERTY, i, after);
    int from = blanks(l, after), past = match(l, from, "at");
    Mark keyed = here(l);
    if (past >= 0) cut(l, CLAUSE_KEYWORD, from, past);
    int begin = past >= 0 ? blanks(l, past) : from;
    end = value(l, begin, &node->value);
    if (end >= 0) {
      node->has_value = true;
      if ((closed = property_ends(l, end)) >= 0) return closed;
      end = some_words(l, blanks(l, end), node);
      if (end >= 0) return end;
    }
    back(l, keyed);
    node->has_value = node->has_words = false;
    end = some_words(l, from, node);
    return end >= 0 ? end : from;
  }
  back(l, word);
  if (known && known->kind == PROPERTY_OR) {
    cut(l, PROPERTY, i, after);
    end = some_words(l, blanks(l, after), node);
    if (end >= 0) {
      node->kind = NOTHING;
      return end;
    }
    back(l, word);
  }
  return some_words(l, i, node);
}
static int props(Line *l, int i, int clause) {
  int start = blanks(l, i);
  if (at(l, start) != '[') return -1;
  Node *list = put(l, PROPS_NODE, start, start, clause);
  cut(l, OPEN_BRACKET, start, start + 1);
  int end = blanks(l, start + 1);
  for (;;) {
    Mark before = here(l);
    int next = property_of(l, end);
    if (next < 0) {
      back(l, before);
      break;
    }
    end = blanks(l, next);
    if (at(l, end) != ',') break;
    cut(l, COMMA, end, end + 1);
    end = blanks(l, end + 1);
  }
  int close = blanks(l, end);
  if (at(l, close) == ']') {
    cut(l, CLOSE_BRACKET, close, close + 1);
    return list->end = close + 1;
  }
  if (at(l, close) != NO_CHARACTER) return -1;
  l->notes++;
  return list->end = end;
}

// Parts.

static int clause_part(Line *l, int i, int clause) {
  Mark before = here(l);
  Value found;
  int end = plain_value(l, i, &found);
  if (end >= 0) {
    put(l, VALUE_NODE, found.start, found.end, clause)->value = found;
    return end;
  }
  back(l, before);
  end = match(l, i, "ph");
  uint32_t follows = end < 0 ? NO_CHARACTER : at(l, blanks(l, end));
  if (digit(follows) || follows == '(' || follows == '-' || (follows >= 0x2000 && follows < 0x3000 && !curly(follows))) {
    cut(l, NAME, i, end);
    put(l, NAME_NODE, i, end, clause);
    return end;
  }
  end = name(l, i);
  if (end >= 0) {
    cut(l, NAME, i, end);
    put(l, NAME_NODE, i, end, clause);
    return end;
  }
  end = props(l, i, clause);
  if (end >= 0) return end;
  back(l, before);
  end = in_parentheses(l, i);
  if (end >= 0) {
    Node *node = put(l, VALUE_NODE, i, end, clause);
    node->value.kind = COMPUTED;
    node->value.start = i;
    node->value.end = end;
    return end;
  }
  back(l, before);
  return -1;
}
static int part(Line *l, int i) {
  Mark before = here(l);
  Value found;
  Quoted quote;
  uint8_t word;
  int end = plain_value(l, i, &found);
  if (end >= 0) {
    put(l, VALUE_NODE, found.start, found.end, -1)->value = found;
    return end;
  }
  back(l, before);
  end = l->words_first && i == l->origin ? -1 : clause_word(l, i, l->stops, &word);
  if (end >= 0) {
    int clause = l->node_count;
    put(l, CLAUSE_NODE, i, end, -1)->word = word;
    cut(l, CLAUSE_KEYWORD, i, end);
    i = blanks(l, end);
    int next = string(l, i, STRING, &quote);
    if (next >= 0) {
      put(l, NAME_NODE, quote.inner, quote.inner_end, clause)->quoted = true;
      end = next;
      i = blanks(l, next);
    }
    while ((next = clause_part(l, i, clause)) >= 0) {
      end = next;
      i = blanks(l, next);
    }
    return end;
  }
  end = name(l, i);
  if (end >= 0) {
    cut(l, NAME, i, end);
    put(l, NAME_NODE, i, end, -1);
    return end;
  }
  end = props(l, i, -1);
  if (end >= 0) return end;
  back(l, before);
  end = string(l, i, LABEL, &quote);
  if (end >= 0) {
    put(l, LABEL_NODE, quote.inner, quote.inner_end, -1);
    return end;
  }
  end = in_parentheses(l, i);
  if (end >= 0) {
    Node *node = put(l, VALUE_NODE, i, end, -1);
    node->value.kind = COMPUTED;
    node->value.start = i;
    node->value.end = end;
    return end;
  }
  back(l, before);
  return -1;
}
static bool too_nested(const Line *l, int i) {
  int count = 0;
  for (; i < l->stop; i++) count += l->text[i] == '(';
  return count > MOST_NESTED;
}
static bool parts(Line *l, int i) {
  l->origin = i;
  if (i >= l->stop) return true;
  if (too_nested(l, i)) return false;
  for (int end; (end = part(l, i)) >= 0;) i = blanks(l, end);
  return i == l->stop;
}

// What a line may hold.

static bool takes_name(const Slot *s) {
  return s->kind == SLOT_REF || s->kind == SLOT_WORD || s->kind == SLOT_WORDS || s->kind == SLOT_ID ||
         s->kind == SLOT_CHANCE;
}
static bool slot_takes(const Slot *s, const Value *v) {
  switch (v->kind) {
    case PLAIN: case RANGE: case TOLERANCE: return s->kind == SLOT_OF;
    case COMPUTED: return s->kind == SLOT_OF || s->kind == SLOT_EXPR;
    case A_DATE: return s->kind == SLOT_DATE;
    case A_CLOCK: return s->kind == SLOT_CLOCK;
    case A_DAY: case A_DAY_RANGE: return s->kind == SLOT_DAY;
    case A_SCORE: return s->kind == SLOT_SCORE;
    default: return s->kind == SLOT_STR;
  }
}
static bool unit_fits(const Unit *unit, uint64_t kinds) {
  return (kinds & (unit->present ? unit->kinds : BARE_KINDS)) != 0;
}
static void unordered(Line *l, const Value *v) {
  const Unit *low = &v->first.unit, *high = &v->second.unit;
  bool same = !low->present || (high->present && low->id == high->id);
  if (same && v->first.number > v->second.number) l->fault = true;
}
static void measured(Line *l, const Value *v, uint64_t kinds, int clause) {
  const Unit *first = &v->first.unit, *second = &v->second.unit;
  if (v->kind == PLAIN) {
    if (!unit_fits(first, kinds)) l->fault = true;
    return;
  }
  if (v->kind == RANGE) {
    if (!unit_fits(second, kinds)) l->fault = true;
    if (first->present && !(second->present && first->id == second->id) && !unit_fits(first, kinds)) l->fault = true;
    unordered(l, v);
  } else if (v->kind == TOLERANCE) {
    if (!unit_fits(first->present ? first : second, kinds)) l->fault = true;
    bool step = !second->present || (second->kinds & kinds) ||
                ((kinds & KIND_TEMPERATURE) && second->dimension == UNIT_STEP);
    // A unit that stands behind both has been looked at.
    if (!step && first->present) l->fault = true;
  } else return;
  bool of_boil = kinds == KIND_TIME && (clause == CLAUSE_AT || clause == CLAUSE_BOIL || (clause < 0 && l->boil));
  if (of_boil || (second->present && second->dimension == UNIT_COUNT)) l->fault = true;
}
static bool fits(const Value *v, uint64_t kinds) {
  const Unit *first = &v->first.unit, *second = &v->second.unit;
  if (v->kind == PLAIN) return unit_fits(first, kinds);
  if (v->kind == TOLERANCE) return unit_fits(first->present ? first : second, kinds);
  if (v->kind == RANGE) return unit_fits(first->present ? first : second, kinds) && unit_fits(second->present ? second : first, kinds);
  return true;
}
static void check_property(Line *l, const Node *node) {
  const PropertySpec *key = node->property;
  const Value *v = &node->value;
  if (!key) {
    if (!node->has_value) { l->fault = true; return; }
    const Unit *unit = &v->first.unit;
    if (v->kind == TOLERANCE && !unit->present) unit = &v->second.unit;
    else if (v->kind == RANGE) {
      unordered(l, v);
      unit = &v->second.unit;
    } else if (v->kind == COMPUTED) return;
    else if (v->kind != PLAIN && v->kind != TOLERANCE) { l->fault = true; return; }
    if (!unit->present || !(unit->kinds & UNNAMED_KINDS)) l->fault = true;
    return;
  }
  if (!node->has_value) {
    bool found = false;
    for (int n = 0; n < key->count && node->has_words; n++) {
      const Slot *s = &key->takes[n];
      if (s->kind == SLOT_WORD ? one_of(l, node->start, node->end, s->words) : takes_name(s) || s->kind == SLOT_TEXT) found = true;
    }
    if (!found) l->fault = true;
    return;
  }
  uint64_t first = 0;
  for (int n = 0; n < key->count; n++) {
    const Slot *s = &key->takes[n];
    if (!slot_takes(s, v) && s->kind != SLOT_WORDS && s->kind != SLOT_TEXT) continue;
    if (s->kind != SLOT_OF) return;
    if (fits(v, s->kinds)) { measured(l, v, s->kinds, -1); return; }
    if (!first) first = s->kinds;
  }
  if (first && (v->kind == PLAIN || v->kind == RANGE || v->kind == TOLERANCE)) measured(l, v, first, -1);
  else l->fault = true;
}
static const ClauseSpec *clause_spec(const Line *l, uint8_t word) {
  for (int n = 0; n < l->clause_count; n++) if (l->clauses[n].word == word) return &l->clauses[n];
  return NULL;
}
static bool spec_has(const ClauseSpec *spec, uint8_t kind) {
  for (int n = 0; n < spec->count; n++) if (spec->takes[n].kind == kind) return true;
  return false;
}
static void check_clause(Line *l, int index, const ClauseSpec *spec) {
  uint8_t word = l->nodes[index].word;
  bool both = word == CLAUSE_WITH || word == CLAUSE_PLANNED, ph = false, named_any = false;
  for (int n = 0; n < spec->count; n++) {
    if (spec->takes[n].kind == SLOT_OF && (spec->takes[n].kinds & KIND_PH)) ph = true;
    if (takes_name(&spec->takes[n])) named_any = true;
  }
  int values = 0, names = 0;
  for (int n = index + 1; n < l->node_count; n++) {
    const Node *node = &l->nodes[n];
    if (node->clause != index) continue;
    if (node->kind == VALUE_NODE) {
      bool second = values > 0 && !(both && values < spec->count);
      if (second || (names > 0 && !ph)) l->fatal = true;
      else {
        const Slot *slot = NULL;
        for (int s = 0; s < spec->count && !slot; s++) if (slot_takes(&spec->takes[s], &node->value)) slot = &spec->takes[s];
        if (!slot) l->fatal = true;
        else {
          if (slot->kind == SLOT_OF) measured(l, &node->value, slot->kinds, word);
          if (node->value.kind == A_DAY_RANGE && word != CLAUSE_ON) l->fault = true;
        }
      }
      values++;
    } else if (node->kind == NAME_NODE) {
      bool is_ph = ph && node->end - node->start == 2 && spelling_at(l, node->start, "ph") == 2;
      bool fit = is_ph || named_any;
      if (names + values == 0 && !fit) l->fatal = true;
      else if (names > 0 || (values > 0 && !both) || !fit) l->fatal = true;
      else if (!is_ph) {
        bool known = false;
        for (int s = 0; s < spec->count; s++) {
          const Slot *slot = &spec->takes[s];
          if (slot->kind == SLOT_WORD ? one_of(l, node->start, node->end, slot->words) : takes_name(slot)) known = true;
        }
        if (!known) l->fatal = true;
      }
      names++;
    }
  }
  if ((values == 0 && (names == 0 || ph)) || (both && spec_has(spec, SLOT_REF) && names == 0)) l->fatal = true;
}
static bool has_clause(const Line *l, uint8_t word) {
  for (int n = 0; n < l->node_count; n++) if (l->nodes[n].kind == CLAUSE_NODE && l->nodes[n].word == word) return true;
  return false;
}
static void check_clauses(Line *l) {
  uint16_t seen = 0;
  for (int n = 0; n < l->node_count; n++) {
    if (l->nodes[n].kind != CLAUSE_NODE) continue;
    const ClauseSpec *spec = clause_spec(l, l->nodes[n].word);
    if (!spec) { l->fatal = true; continue; }
    if (seen & 1 << spec->word) l->fault = true;
    seen |= 1 << spec->word;
    check_clause(l, n, spec);
  }
}
static void rename_cuts(Line *l, int start, int end) {
  for (int n = 0; n < l->cut_count; n++) {
    if (l->cuts[n].start >= start && l->cuts[n].end <= end) l->cuts[n].piece = NAME;
  }
}
static int top(const Line *l, int from) {
  while (from < l->node_count && (l->nodes[from].clause >= 0 || l->nodes[from].kind == NOTHING || l->nodes[from].kind == PROPERTY_NODE)) from++;
  return from;
}
static void value_to_name(Line *l, Node *node) {
  node->kind = NAME_NODE;
  node->start = node->value.start;
  node->end = node->value.end;
  rename_cuts(l, node->start, node->end);
}
static void arrange(Line *l) {
  int first = top(l, 0), strings = 0;
  bool named = false, takes = l->item, id = l->takes_count && l->takes[0].kind == SLOT_ID;
  if (id && first < l->node_count && l->nodes[first].kind == VALUE_NODE) value_to_name(l, &l->nodes[first]);
  for (int n = 0; n < l->takes_count; n++) {
    uint8_t kind = l->takes[n].kind;
    if (kind == SLOT_STR) strings++;
    if (kind == SLOT_REF || kind == SLOT_WORDS) takes = true;
  }
  for (int n = 0; n < l->node_count; n++) {
    Node *node = &l->nodes[n];
    if (node->clause >= 0) {
      const ClauseSpec *spec = clause_spec(l, l->nodes[node->clause].word);
      if (spec && node->kind == VALUE_NODE && spec_has(spec, SLOT_ID)) value_to_name(l, node);
      else if (spec && node->kind == NAME_NODE && node->quoted && spec_has(spec, SLOT_STR)) {
        node->kind = VALUE_NODE;
        node->value.kind = A_STRING;
        node->value.start = node->start - 1;
        node->value.end = node->end + 1;
      }
    } else if (node->kind == LABEL_NODE && strings > 0) {
      strings--;
      node->kind = VALUE_NODE;
      node->value.kind = A_STRING;
      node->value.start = node->start - 1;
      node->value.end = node->end + 1;
    } else if (node->kind == LABEL_NODE && takes && !named) {
      named = true;
      node->kind = NAME_NODE;
      node->quoted = true;
    } else if (node->kind == NAME_NODE) named = true;
  }
  int before = top(l, 0);
  for (int n = top(l, before + 1); n < l->node_count; before = n, n = top(l, n + 1)) {
    if (l->nodes[n].kind != LABEL_NODE || l->nodes[before].kind != CLAUSE_NODE || l->nodes[before].word != CLAUSE_WITH) continue;
    const ClauseSpec *spec = clause_spec(l, CLAUSE_WITH);
    int within = 0, values = 0;
    for (int m = 0; m < l->node_count; m++) {
      if (l->nodes[m].clause != before || l->nodes[m].kind == PROPERTY_NODE) continue;
      within++;
      if (l->nodes[m].kind == VALUE_NODE) values++;
    }
    if (!spec || !spec_has(spec, SLOT_REF) || within != 1 || values != 1) continue;
    l->nodes[n].kind = NAME_NODE;
    l->nodes[n].quoted = true;
    l->nodes[n].clause = before;
    break;
  }
  if (!l->item) return;
  int a = top(l, 0), b = top(l, a + 1), c = top(l, b + 1);
  if (c >= l->node_count) return;
  Node *amount = &l->nodes[a], *number = &l->nodes[b], *called = &l->nodes[c];
  if (amount->kind != VALUE_NODE || number->kind != VALUE_NODE || called->kind != NAME_NODE || called->quoted) return;
  bool bare = amount->value.kind == PLAIN && !amount->value.first.unit.present;
  if (bare || number->value.kind != PLAIN || number->value.first.unit.present || blanks(l, number->value.end) != called->start) return;
  rename_cuts(l, number->value.start, called->end);
  called->start = number->value.start;
  number->kind = NOTHING;
}
static void check_item(Line *l) {
  int amount = -1, called = -1;
  for (int n = top(l, 0); n < l->node_count; n = top(l, n + 1)) {
    Node *node = &l->nodes[n];
    if (node->kind == VALUE_NODE) {
      if (amount < 0 && called < 0) {
        amount = n;
        if (node->value.kind > COMPUTED) l->fatal = true;
      } else l->fatal = true;
    } else if (node->kind == NAME_NODE) {
      if (called < 0) called = n;
      else l->fatal = true;
    }
  }
  if (called < 0) l->fatal = true;
  else if (amount < 0) {
    if (!has_clause(l, CLAUSE_TOREACH)) l->fatal = true;
  } else measured(l, &l->nodes[amount].value, l->amounts, -1);
  check_clauses(l);
}
static void check_name(Line *l, const Node *node, const Slot *slot) {
  bool inner_blank = false;
  for (int n = node->start; n < node->end; n++) if (blank(l->text[n])) inner_blank = true;
  if (slot->kind == SLOT_WORD) {
    if (!*slot->words ? inner_blank : !one_of(l, node->start, node->end, slot->words)) l->fatal = true;
  } else if (slot->kind == SLOT_ID) {
    if (inner_blank) l->fatal = true;
  } else if (slot->kind == SLOT_CHANCE && !one_of(l, node->start, node->end, "yes|no|possible|")) l->fatal = true;
}
static void check_fact(Line *l, int keyword, uint64_t leading) {
  unsigned filled = 0;
  int next = 0;
  for (int n = top(l, 0); n < l->node_count; n = top(l, n + 1)) {
    Node *node = &l->nodes[n];
    if (node->kind == PROPS_NODE && l->header) l->fatal = true;
    if (node->kind == VALUE_NODE && node->value.end <= keyword) {
      measured(l, &node->value, leading, -1);
      continue;
    }
    if (node->kind != VALUE_NODE && node->kind != NAME_NODE) continue;
    int found = next;
    while (found < l->takes_count && !(node->kind == VALUE_NODE ? slot_takes(&l->takes[found], &node->value) : takes_name(&l->takes[found]))) found++;
    if (found >= l->takes_count) { l->fatal = true; continue; }
    filled |= 1u << found;
    next = found + 1;
    if (node->kind == NAME_NODE) check_name(l, node, &l->takes[found]);
    else if (l->takes[found].kind == SLOT_OF) measured(l, &node->value, l->takes[found].kinds, -1);
  }
  check_clauses(l);
  bool reaches = has_clause(l, CLAUSE_TOREACH);
  for (int n = 0; n < l->takes_count - l->optional; n++) {
    bool solved = reaches && n == 0 && l->takes[0].kind == SLOT_OF && l->takes_count > 1;
    if (!(filled & 1u << n) && !solved) l->fatal = true;
  }
  for (uint8_t word = 0; word < 16; word++) if (l->needs & 1 << word && !has_clause(l, word)) l->fatal = true;
}
static void check_properties(Line *l) {
  for (int n = 0; n < l->node_count; n++) if (l->nodes[n].kind == PROPERTY_NODE) check_property(l, &l->nodes[n]);
}

// Whole lines. What became of one:

enum Outcome { CLEAN, FAULTY, BROKEN };

#define ITEM_STOPS (1 << CLAUSE_AT | 1 << CLAUSE_ON | 1 << CLAUSE_TO | 1 << CLAUSE_FROM | 1 << CLAUSE_FOR | \
                    1 << CLAUSE_OVER | 1 << CLAUSE_UNTIL | 1 << CLAUSE_WITH | 1 << CLAUSE_IN)

static void begin(Line *l) {
  l->cut_count = l->node_count = l->notes = l->signs = l->optional = l->takes_count = l->clause_count = 0;
  l->origin = -1;
  l->stops = ITEM_STOPS;
  l->needs = 0;
  l->words_first = l->scores = l->boil = l->item = l->header = l->fault = l->fatal = false;
}
static enum Outcome outcome(const Line *l) {
  return l->fatal ? BROKEN : l->fault || l->notes ? FAULTY : CLEAN;
}
static void shape(Line *l, const Slot *takes, int count, int optional, const ClauseSpec *clauses, int clause_count) {
  l->takes = takes;
  l->takes_count = count;
  l->optional = optional;
  l->clauses = clauses;
  l->clause_count = clause_count;
  for (int n = 0; n < clause_count; n++) l->stops |= 1 << clauses[n].word;
  l->words_first = count && takes[0].kind == SLOT_WORDS;
  l->scores = count && takes[0].kind == SLOT_SCORE;
}
static enum Outcome letting(Line *l, int i) {
  l->origin = -1;
  i = blanks(l, i);
  int end = identifier(l, i);
  if (end < 0 || too_nested(l, i)) return BROKEN;
  cut(l, IDENTIFIER, i, end);
  int sign = blanks(l, end);
  if (at(l, sign) != '=') return BROKEN;
  cut(l, EQUALS, sign, sign + 1);
  int last = expression(l, blanks(l, sign + 1));
  if (last < 0 || blanks(l, last) != l->stop) return BROKEN;
  Unit unit;
  Line alone = *l;
  alone.stop = end;
  if (scan_unit(&alone, i, &unit) == end || known_function(l, i, end)) l->fault = true;
  return outcome(l);
}
static enum Outcome fact(Line *l, int end, int keyword, uint64_t leading) {
  if (!parts(l, blanks(l, end))) return BROKEN;
  arrange(l);
  check_fact(l, keyword, leading);
  check_properties(l);
  return outcome(l);
}
static const EntrySpec *entry_at(const BlockSpec *spec, const Line *l, int i, int *end) {
  for (int n = 0; n < spec->entry_count; n++) {
    if ((*end = match(l, i, spec->entries[n].word)) >= 0) return &spec->entries[n];
  }
  return NULL;
}
static enum Outcome plain_entry(Line *l, const BlockSpec *spec, int start, bool when, uint8_t *form) {
  int end;
  const EntrySpec *entry = entry_at(spec, l, start, &end);
  *form = ENTRY;
  if (entry) {
    cut(l, ENTRY_KEYWORD, start, end);
    if (entry->key == KEY_LET) {
      *form = LETTING;
      return letting(l, end);
    }
    if (entry->text) {
      *form = TEXT_FACT;
      int from = blanks(l, end);
      if (from < l->stop) cut(l, TEXT, from, l->stop);
      return from < l->stop || entry->optional ? CLEAN : BROKEN;
    }
    shape(l, entry->takes, entry->count, entry->optional, entry->clauses, entry->clause_count);
    l->needs = entry->needs;
    l->boil = entry->key == KEY_BOIL;
    // Where no clause may follow, its words belong to the name.
    for (int n = 0; n < entry->count; n++) if (!entry->clause_count && entry->takes[n].kind == SLOT_WORDS) l->stops = 0;
    return fact(l, end, start, 0);
  }
  uint32_t c = at(l, start);
  if (digit(c) || c == '(' || c == '-' || c == 0x2212) {
    Mark before = here(l);
    Value amount;
    end = value(l, start, &amount);
    int keyword = end < 0 ? -1 : blanks(l, end);
    entry = end < 0 ? NULL : entry_at(spec, l, keyword, &end);
    if (entry && entry->amount_leads) {
      put(l, VALUE_NODE, amount.start, amount.end, -1)->value = amount;
      cut(l, ENTRY_KEYWORD, keyword, end);
      shape(l, entry->takes, entry->count, entry->optional, entry->clauses, entry->clause_count);
      uint64_t volume = 0;
      for (int n = 0; n < blocks[BLOCK_COOK].count; n++) volume |= blocks[BLOCK_COOK].takes[n].kinds;
      return fact(l, end, keyword, volume);
    }
    back(l, before);
  }
  if (!spec->has_items || when) return BROKEN;
  *form = ITEM;
  l->item = true;
  l->clauses = spec->items;
  l->clause_count = spec->item_clauses;
  l->amounts = spec->amounts;
  if (!parts(l, start)) return BROKEN;
  arrange(l);
  check_item(l);
  check_properties(l);
  return outcome(l);
}
static int relation(Line *l, int i) {
  int start = blanks(l, i), length = 0;
  uint32_t c = at(l, start);
  if (c == '<' || c == '>') length = at(l, start + 1) == '=' ? 2 : 1;
  else if (c == '=' || c == 0x2264 || c == 0x2265) length = 1;
  if (!length) return -1;
  cut(l, RELATION, start, start + length);
  return blanks(l, start + length);
}
static int linking(Line *l, int i, const char *word) {
  int start = blanks(l, i), end = match(l, start, word);
  if (end < 0) return -1;
  cut(l, RELATION, start, end);
  return blanks(l, end);
}
static bool expects(const Value *v) { return v->kind <= COMPUTED; }
static enum Outcome expectation(Line *l, int start) {
  int i = start, end = start;
  for (int word; (word = identifier(l, i)) >= 0;) {
    if (end > start && ((word - i == 2 && spelling_at(l, i, "in") == 2) || (word - i == 3 && spelling_at(l, i, "and") == 3))) break;
    end = word;
    i = blanks(l, word);
    if (i == word) break;
  }
  if (end == start) return BROKEN;
  cut(l, FIGURE, start, end);
  i = blanks(l, end);
  Mark before = here(l);
  int after = relation(l, i);
  if (after >= 0) i = after;
  else back(l, before);
  Value found;
  end = value(l, i, &found);
  if (end < 0) return BROKEN;
  i = blanks(l, end);
  Quoted quote;
  end = string(l, i, LABEL, &quote);
  if (end >= 0) i = blanks(l, end);
  if (i != l->stop || !expects(&found)) return BROKEN;
  if (found.kind == RANGE) unordered(l, &found);
  return outcome(l);
}
static enum Outcome condition(Line *l, int i) {
  for (;;) {
    int end = expression(l, i), next;
    if (end < 0) return BROKEN;
    Mark before = here(l);
    Value range;
    if ((next = linking(l, end, "in")) >= 0 && (next = quantity(l, next, &range)) >= 0 && range.kind == RANGE) end = next;
    else {
      back(l, before);
      next = relation(l, end);
      end = next < 0 ? -1 : expression(l, next);
    }
    if (end < 0) return BROKEN;
    if (blanks(l, end) == l->stop) return outcome(l);
    i = linking(l, end, "and");
    if (i < 0) return BROKEN;
  }
}
static enum Outcome query(Line *l, int i) {
  cut(l, QUESTION, i, i + 1);
  i = blanks(l, i + 1);
  if (too_nested(l, i)) return BROKEN;
  int end = expression(l, i);
  if (end < 0) return BROKEN;
  i = blanks(l, end);
  Quoted quote;
  end = string(l, i, LABEL, &quote);
  if (end >= 0) i = blanks(l, end);
  return i == l->stop ? outcome(l) : BROKEN;
}
static bool known_block(uint8_t kind) { return blocks[kind].word != NULL; }
static enum Outcome entry(Line *l, uint8_t kind, int start, uint8_t *form) {
  const BlockSpec *spec = &blocks[kind];
  begin(l);
  *form = UNREAD;
  if (!known_block(kind)) return BROKEN;
  if (at(l, start) == '?') {
    *form = QUERY;
    return spec->queries ? query(l, start) : BROKEN;
  }
  if (kind == BLOCK_EXPECT) {
    *form = EXPECTATION;
    enum Outcome found = too_nested(l, start) ? BROKEN : expectation(l, start);
    if (found != BROKEN) return found;
    begin(l);
    *form = CONDITION;
    return too_nested(l, start) ? BROKEN : condition(l, start);
  }
  if (kind != BLOCK_GYLE) return plain_entry(l, spec, start, false, form);
  bool range;
  uint8_t piece = CLOCK;
  int end = clock(l, start);
  if (end < 0) {
    piece = DATE;
    if ((end = date(l, start)) < 0) {
      piece = DAY;
      if ((end = day(l, start, &range)) < 0 || range) return BROKEN;
    }
    cut(l, piece, start, end);
    int time = blanks(l, end), time_end = clock(l, time);
    if (time_end >= 0) {
      cut(l, CLOCK, time, time_end);
      end = time_end;
    }
  } else cut(l, CLOCK, start, end);
  int next = blanks(l, end);
  return next >= l->stop ? BROKEN : plain_entry(l, spec, next, true, form);
}
static uint8_t block_at(const Line *l, int i, int *end) {
  uint8_t found = 0;
  int longest = -1;
  for (int n = 0; n < LENGTH(blocks); n++) {
    int stop = blocks[n].word ? match(l, i, blocks[n].word) : -1;
    if (stop > longest) longest = stop, found = (uint8_t)n;
  }
  *end = longest;
  return found;
}
static enum Outcome own_header(Line *l, uint8_t kind, int start, int end) {
  const BlockSpec *spec = &blocks[kind];
  begin(l);
  cut(l, BLOCK_KEYWORD, start, end);
  if (kind == BLOCK_LET) return letting(l, end);
  shape(l, spec->takes, spec->count, spec->optional, spec->clauses, spec->clause_count);
  l->header = true;
  l->boil = kind == BLOCK_BOIL;
  if (kind == BLOCK_CHILL) l->needs = 1 << CLAUSE_TO;
  if (spec->count && spec->takes[0].kind == SLOT_ID) {
    int from = blanks(l, end), to = from;
    while (to < l->stop && !blank(l->text[to])) to++;
    uint32_t c = at(l, from);
    if (to > from && c != '"' && c != '[' && c != '(') {
      put(l, NAME_NODE, from, to, -1);
      cut(l, NAME, from, to);
      end = to;
    }
  }
  enum Outcome found = fact(l, end, start, 0);
  if (found == CLEAN && kind == BLOCK_GYLE && !has_clause(l, CLAUSE_ON) && !has_clause(l, CLAUSE_PLANNED)) return FAULTY;
  return found;
}

// Reading from the editor.

static void keep(Line *l, uint32_t c) {
  if (l->length == l->room) {
    l->room = l->room ? l->room * 2 : 256;
    l->text = ts_realloc(l->text, (size_t)l->room * sizeof *l->text);
  }
  l->text[l->length++] = c;
}
static bool line_end(const TSLexer *lexer) {
  return lexer->eof(lexer) || lexer->lookahead == '\n' || lexer->lookahead == '\r';
}
static void read_line(Line *l, TSLexer *lexer) {
  while (!line_end(lexer)) {
    keep(l, (uint32_t)lexer->lookahead);
    lexer->advance(lexer, false);
  }
}
static void skip_line_end(TSLexer *lexer) {
  bool carriage = lexer->lookahead == '\r';
  lexer->advance(lexer, false);
  if (carriage && lexer->lookahead == '\n') lexer->advance(lexer, false);
}
// Cuts the line in `text` from `from` on; gives where comment and stamp begin, or the end of the line.
static int remarks(Line *l, int from, int *stamp) {
  bool after_blank = true;
  l->stop = l->length;
  *stamp = -1;
  for (int i = from; i < l->length;) {
    Quoted found;
    uint32_t c = l->text[i];
    if (c == '#' && after_blank) {
      for (int n = i; n + 1 < l->length && *stamp < 0; n++) {
        if (l->text[n] == '#' && l->text[n + 1] == '=' && (n == i || blank(l->text[n - 1]))) *stamp = n;
      }
      return i;
    }
    if (quoted(l, i, &found)) {
      i = found.end > i ? found.end : i + 1;
      after_blank = false;
      continue;
    }
    after_blank = blank(c);
    i++;
  }
  return l->length;
}
static int trimmed(const Line *l, int start, int end) {
  while (end > start && blank(l->text[end - 1])) end--;
  return end;
}
static void wait(State *s, uint8_t piece, int blanks_before, int length) {
  if (s->count < MOST_PIECES) s->waiting[s->count++] = (Waiting){piece, (uint8_t)blanks_before, (uint16_t)length};
}
static bool conflict_mark(const Line *l, int start) {
  uint32_t c = at(l, start);
  if (c != '<' && c != '=' && c != '>' && c != '|') return false;
  for (int n = 1; n < 7; n++) if (at(l, start + n) != c) return false;
  return true;
}
// The first entry below a header, for the headers that may be an entry of the block above.
static bool lost_below(Line *l, TSLexer *lexer, uint8_t kind, uint8_t above) {
  int length = l->length, stop = l->stop;
  bool next = false, lost = false;
  while (!lexer->eof(lexer) && !next) {
    skip_line_end(lexer);
    l->length = 0;
    if (!lexer->eof(lexer) && letter((uint32_t)lexer->lookahead)) break;
    read_line(l, lexer);
    l->stop = l->length;
    int start = blanks(l, 0), stamp;
    if (at(l, start) == '|') continue;
    int end = trimmed(l, start, remarks(l, start, &stamp));
    l->stop = end;
    if (end <= start) continue;
    uint8_t form;
    next = true;
    lost = entry(l, above, start, &form) != BROKEN && entry(l, kind, start, &form) == BROKEN;
  }
  l->length = length;
  l->stop = stop;
  // A boil without hops has no lines; a brewhouse without numbers is none.
  return next ? lost : kind != BLOCK_BOIL;
}
static bool starts_block(TSLexer *lexer) {
  // Comment lines directly above a header go with it.
  for (int lines = 0; lines < 200 && lexer->lookahead == '#'; lines++) {
    while (!line_end(lexer)) lexer->advance(lexer, false);
    if (lexer->eof(lexer)) return false;
    skip_line_end(lexer);
  }
  return !lexer->eof(lexer) && letter((uint32_t)lexer->lookahead);
}

static bool give(TSLexer *lexer, uint8_t piece) {
  lexer->result_symbol = piece;
  return true;
}

static bool scan_line(Scanner *scanner, TSLexer *lexer) {
  State *s = &scanner->state;
  Line *l = &scanner->line;
  int margin = 0;
  l->length = 0;
  bool ahead = false;
  lexer->mark_end(lexer);
  if (s->in_block && (lexer->eof(lexer) || lexer->lookahead == '#' || letter((uint32_t)lexer->lookahead))) {
    ahead = lexer->lookahead == '#';
    if (ahead) {
      read_line(l, lexer);
      if (!lexer->eof(lexer)) skip_line_end(lexer);
    }
    if (ahead ? starts_block(lexer) : true) {
      s->in_block = false;
      return give(lexer, BLOCK_END);
    }
  }
  while (!ahead && !line_end(lexer) && (blank((uint32_t)lexer->lookahead) || (margin == 0 && lexer->lookahead == 0xfeff))) {
    lexer->advance(lexer, true);
    margin++;
  }
  if (!ahead) {
    lexer->mark_end(lexer);
    // Blanks behind the last line end are a line too.
    if (lexer->eof(lexer)) return margin > 0 && give(lexer, NEWLINE);
    if (line_end(lexer)) {
      skip_line_end(lexer);
      lexer->mark_end(lexer);
      return give(lexer, NEWLINE);
    }
    read_line(l, lexer);
  }
  l->stop = l->length;
  s->next = s->count = 0;
  s->in_line = true;

  bool at_margin = margin == 0, prose = l->text[0] == '|';
  int stamp = -1, hash = prose ? l->length : remarks(l, 0, &stamp), end = trimmed(l, 0, hash);
  uint8_t form = REMARK;
  bool faulty = false, fresh = false, unread = false;
  l->stop = end;
  l->cut_count = 0;
  if (end > 0 && at_margin && letter(l->text[0])) {
    uint8_t above = s->kind;
    int word;
    uint8_t kind = block_at(l, 0, &word);
    s->conflict = s->said = false;
    form = HEADER;
    if (word < 0) {
      enum Outcome found = entry(l, above, 0, &form);
      int ignored;
      bool keyword = known_block(above) && entry_at(&blocks[above], l, 0, &ignored);
      faulty = true;
      if (!known_block(above) || !(keyword || found == CLEAN)) s->kind = BLOCK_UNKNOWN;
    } else {
      enum Outcome found = own_header(l, kind, 0, word);
      int ignored;
      bool lost = false;
      if (known_block(above)) {
        if (found == BROKEN) {
          lost = entry_at(&blocks[above], l, 0, &ignored) && entry(l, above, 0, &form) != BROKEN;
        } else if ((kind == BLOCK_BREWHOUSEBLOCK && above == BLOCK_RECIPE) ||
                   (kind == BLOCK_BOIL && (above == BLOCK_SOUR || above == BLOCK_COOK))) {
          // The text of this line is read again afterwards: the one below took its place.
          uint32_t *line = ts_malloc((size_t)l->length * sizeof *line);
          int length = l->length;
          memcpy(line, l->text, (size_t)length * sizeof *line);
          lost = lost_below(l, lexer, kind, above);
          memcpy(l->text, line, (size_t)length * sizeof *line);
          ts_free(line);
          lost = lost && entry(l, above, 0, &form) != BROKEN;
        }
        if (!lost) {
          found = own_header(l, kind, 0, word);
          form = HEADER;
        }
      }
      faulty = lost || found != CLEAN;
      if (!lost) s->kind = kind;
      fresh = !faulty;
    }
  } else if (end > 0 && at_margin && conflict_mark(l, 0)) {
    faulty = !s->conflict;
    unread = !faulty;
    s->conflict = s->said = true;
  } else if (end > 0) {
    bool known = known_block(s->kind);
    faulty = at_margin && known;
    if (prose) form = PROSE;
    else if (s->kind == BLOCK_PREAMBLE) {
      faulty = !s->said;
      unread = s->said;
      s->said = true;
    } else if (!known) unread = true;
    else faulty = entry(l, s->kind, 0, &form) != CLEAN || faulty;
  }
  // Pieces, first the mark of the form.
  int reached = 0;
  if (!faulty && !unread && form != REMARK && form != PROSE) {
    bool fits_state = l->cut_count + 4 < MOST_PIECES;
    for (int n = 0, from = 0; n < l->cut_count && fits_state; from = l->cuts[n++].end) {
      if (l->cuts[n].start - from > 250 || l->cuts[n].end - l->cuts[n].start > 65000) fits_state = false;
    }
    if (!fits_state) unread = true, fresh = false;
  }
  if (faulty) {
    wait(s, FAULT_TEXT, 0, end > 65000 ? 65000 : end);
    reached = end;
    form = FAULT;
  } else if (unread || form == PROSE) {
    wait(s, unread ? UNREAD : PROSE, 0, end > 65000 ? 65000 : end);
    reached = end;
    form = REMARK;
  } else {
    for (int n = 0; n < l->cut_count && form != REMARK; n++) {
      wait(s, l->cuts[n].piece, l->cuts[n].start - reached, l->cuts[n].end - l->cuts[n].start);
      reached = l->cuts[n].end;
    }
  }
  if (hash < l->length && end <= 65000) {
    int last = trimmed(l, hash, l->length), before = hash - reached;
    if (before > 250) before = 250;
    if (stamp != hash) {
      int comment_end = trimmed(l, hash, stamp < 0 ? last : stamp);
      wait(s, COMMENT, before, comment_end - hash > 65000 ? 65000 : comment_end - hash);
      before = stamp - comment_end;
    }
    if (stamp >= 0) wait(s, STAMP, before, last - stamp > 65000 ? 65000 : last - stamp);
  }
  if (fresh) s->in_block = true;
  return give(lexer, form);
}

void *tree_sitter_gyle_external_scanner_create(void) {
  Scanner *scanner = ts_calloc(1, sizeof(Scanner));
  scanner->line.nodes = ts_calloc(MOST_NODES, sizeof(Node));
  scanner->line.cuts = ts_calloc(MOST_NODES, sizeof(Cut));
  return scanner;
}
void tree_sitter_gyle_external_scanner_destroy(void *payload) {
  Scanner *scanner = payload;
  ts_free(scanner->line.text);
  ts_free(scanner->line.nodes);
  ts_free(scanner->line.cuts);
  ts_free(scanner);
}
unsigned tree_sitter_gyle_external_scanner_serialize(void *payload, char *buffer) {
  const State *s = &((Scanner *)payload)->state;
  unsigned size = 0;
  buffer[size++] = (char)s->kind;
  buffer[size++] = (char)(s->in_block | s->in_line << 1 | s->conflict << 2 | s->said << 3);
  if (!s->in_line) return size;
  for (int n = s->next; n < s->count; n++) {
    memcpy(buffer + size, &s->waiting[n], sizeof(Waiting));
    size += sizeof(Waiting);
  }
  return size;
}
void tree_sitter_gyle_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  State *s = &((Scanner *)payload)->state;
  memset(s, 0, sizeof *s);
  if (length < 2) return;
  s->kind = (uint8_t)buffer[0];
  s->in_block = buffer[1] & 1;
  s->in_line = buffer[1] >> 1 & 1;
  s->conflict = buffer[1] >> 2 & 1;
  s->said = buffer[1] >> 3 & 1;
  for (unsigned at = 2; at + sizeof(Waiting) <= length; at += sizeof(Waiting)) {
    memcpy(&s->waiting[s->count++], buffer + at, sizeof(Waiting));
  }
}
bool tree_sitter_gyle_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  (void)valid;
  Scanner *scanner = payload;
  State *s = &scanner->state;
  if (!s->in_line) return scan_line(scanner, lexer);
  if (s->next < s->count) {
    Waiting *next = &s->waiting[s->next++];
    for (int n = 0; n < next->blanks && !line_end(lexer); n++) lexer->advance(lexer, true);
    while (!line_end(lexer) && blank((uint32_t)lexer->lookahead)) lexer->advance(lexer, true);
    for (int n = 0; n < next->length && !line_end(lexer); n++) lexer->advance(lexer, false);
    lexer->mark_end(lexer);
    return give(lexer, next->piece);
  }
  while (!line_end(lexer)) lexer->advance(lexer, true);
  s->in_line = false;
  if (!lexer->eof(lexer)) skip_line_end(lexer);
  lexer->mark_end(lexer);
  return give(lexer, NEWLINE);
}
