// What is set of how findings are shown: a severity by rule, or `off`.
const NAMES = { error: 'Error', warning: 'Warning', information: 'Information', hint: 'Hint' };

/** The severity to show a finding with, or undefined for one that is not shown. */
exports.shownSeverity = (wanted, finding, severities) => {
  const rule = typeof finding.code === 'object' ? finding.code.value : finding.code;
  const name = wanted[rule];
  if (name === 'off') return undefined;
  return NAMES[name] ? severities[NAMES[name]] : finding.severity;
};
