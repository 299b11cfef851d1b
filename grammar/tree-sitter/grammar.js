/// <reference types="tree-sitter-cli/dsl" />
// The tree of a .gyle file. What a word is depends on the block it stands in and on the rest of its line,
// so the scanner (src/scanner.c) cuts each line whole; this file says how the pieces hang together.

const list = (item, sign) => seq(item, repeat(seq(sign, item)));

module.exports = grammar({
  name: "gyle",

  externals: $ => [
    $._newline,
    $._block_end,
    // Never asked for: a line that holds one cannot be read, and costs itself only.
    $._fault,
    $._fault_text,
    $._header,
    $._entry,
    $._item,
    $._text_fact,
    $._expectation,
    $._condition,
    $._query,
    $._let,
    $._remark,
    $.comment,
    $.stamp,
    $.prose,
    $.unread,
    $.block_keyword,
    $.entry_keyword,
    $.clause_keyword,
    $.name,
    $.string,
    $.label,
    $.number,
    $.unit,
    $.date,
    $.clock,
    $.day,
    $.score,
    $.range_sign,
    $.tolerance_sign,
    $.property,
    $.flag,
    $.words,
    $.text,
    $.figure,
    $.identifier,
    $.function,
    $.relation,
    $.plus,
    $.minus,
    $.times,
    $.power,
    "[",
    "]",
    "(",
    ")",
    ",",
    "=",
    "?",
  ],

  extras: _ => [],

  rules: {
    file: $ => repeat(choice($.block, $._line)),

    block: $ => seq($.header, repeat($._line), $._block_end),

    _line: $ => choice(
      $._newline,
      seq($._remark, choice(seq($.comment, optional($.stamp)), $.stamp), $._newline),
      seq($._remark, choice($.prose, $.unread), $._tail),
      $.entry,
      $.item,
      $.text_fact,
      $.expectation,
      $.condition,
      $.query,
      $.let,
    ),

    _tail: $ => seq(optional($.comment), optional($.stamp), $._newline),

    header: $ => seq(
      $._header,
      $.block_keyword,
      choice(seq($._setting, $._tail), seq(repeat($._part), $._tail)),
    ),
    entry: $ => seq($._entry, repeat($._value), $.entry_keyword, repeat($._part), $._tail),
    item: $ => seq($._item, repeat1($._part), $._tail),
    text_fact: $ => seq($._text_fact, repeat($._value), $.entry_keyword, optional($.text), $._tail),
    expectation: $ => seq(
      $._expectation, $.figure, optional($.relation), $._value, repeat($.quantity), optional($.label), $._tail,
    ),
    condition: $ => seq($._condition, $._expression, repeat1(seq($.relation, choice($._expression, $.range))), $._tail),
    query: $ => seq($._query, "?", $._expression, optional($.label), $._tail),
    let: $ => seq($._let, repeat($._value), $.entry_keyword, $._setting, $._tail),
    _setting: $ => seq(field("name", $.identifier), "=", $._expression),

    _part: $ => choice($._value, $.name, $.properties, $.clause, $.label),

    clause: $ => prec.right(seq(
      $.clause_keyword,
      repeat(choice($._value, $.name, $.string, $.properties)),
    )),

    _value: $ => choice(
      $.quantity, $.range, $.tolerance, $.date, $.clock, $.day, $.score, $.computed,
    ),
    // `2 lb 4 oz` are two of them: what adds is for who computes.
    quantity: $ => seq($.number, optional($.unit)),
    range: $ => seq($.quantity, $.range_sign, $.quantity),
    tolerance: $ => seq($.quantity, $.tolerance_sign, $.quantity),
    computed: $ => seq("(", $._expression, ")"),

    properties: $ => seq("[", optional(seq(list($._property, ","), optional(","))), "]"),
    _property: $ => choice(seq($._value, repeat($.quantity)), $.flag, $.field),
    field: $ => seq(
      $.property,
      optional($.clause_keyword),
      choice($._value, seq(optional($._value), choice($.words, $.string))),
    ),

    _expression: $ => choice(
      $.quantity, $.identifier, $.call, $.parenthesised, $.negation, $.binary,
    ),
    call: $ => seq($.function, "(", list($._expression, ","), ")"),
    parenthesised: $ => seq("(", $._expression, ")"),
    negation: $ => prec(3, seq($.minus, $._expression)),
    binary: $ => choice(
      prec.left(1, seq($._expression, choice($.plus, $.minus), $._expression)),
      prec.left(2, seq($._expression, $.times, $._expression)),
      prec.left(4, seq($._expression, $.power, $._expression)),
    ),
  },
});
