-- A session in the real editor. Each line that a column is asserted on has letters before it that count
-- differently in bytes and in UTF-16. Prints TAP, leaves with 1 on a failure.
local failed, count = 0, 0

local function check(ok, what, detail)
  count = count + 1
  failed = failed + (ok and 0 or 1)
  local more = not ok and detail ~= nil and ('  # ' .. vim.inspect(detail):gsub('%s+', ' ')) or ''
  io.stdout:write(('%s %d - %s%s\n'):format(ok and 'ok' or 'not ok', count, what, more))
end

-- Gives way to the editor's own loop, so that typed keys and the server's answers are worked on.
local function pause(milliseconds)
  local thread = coroutine.running()
  vim.defer_fn(function() coroutine.resume(thread) end, milliseconds)
  coroutine.yield()
end

local function wait(ready)
  local limit = vim.uv.now() + 30000
  repeat
    local value = ready()
    if value then
      return value
    end
    pause(20)
  until vim.uv.now() > limit
end

local function line(number)
  return vim.api.nvim_buf_get_lines(0, number - 1, number, false)[1]
end

local function line_of(text)
  for number, one in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    if one:find(text, 1, true) then
      return number
    end
  end
  error('no line with ' .. text)
end

-- The cursor at the first place of `text` in the line, and the byte it stands at.
local function go_to(number, text)
  local at = line(number):find(text, 1, true)
  vim.api.nvim_win_set_cursor(0, { number, at - 1 })
  return at - 1
end

-- Keys as from a keyboard.
local function keys(typed)
  vim.api.nvim_input(typed)
  pause(50)
end

-- A line as it is drawn, values and all.
local function drawn(number)
  vim.cmd.redraw()
  local row = vim.fn.screenpos(0, number, 1).row
  local cells = {}
  for column = 1, vim.o.columns do
    cells[column] = vim.fn.screenstring(row, column)
  end
  return (table.concat(cells):gsub('%s+$', ''))
end

local function finding(code)
  for _, one in ipairs(vim.diagnostic.get(0)) do
    if one.code == code then
      return one
    end
  end
end

local function run()
  vim.o.columns, vim.o.lines, vim.o.showmode = 120, 40, false
  vim.opt.shortmess:append('c')
  check(vim.bo.filetype == 'gyle', 'the file type goes by the ending', vim.bo.filetype)
  check(wait(function()
    local client = vim.lsp.get_clients({ bufnr = 0, name = 'gyle' })[1]
    return client and client.initialized
  end), 'the server is attached')
  local client = vim.lsp.get_clients({ bufnr = 0, name = 'gyle' })[1]
  check(client.root_dir == vim.uv.cwd(), 'the root is the folder of gyle.toml', client.root_dir)

  -- Findings, in the bytes that Neovim counts in.
  local hop = line_of('[7,4 %]')
  check(wait(function() return finding('decimal-comma') end), 'a decimal comma is found')
  local comma = finding('decimal-comma')
  local at = line(hop):find('7,4', 1, true) - 1
  check(comma.lnum == hop - 1 and comma.col == at and comma.end_col == at + 3, 'it stands under `7,4`', comma)
  check(finding('expectation-missed') ~= nil, 'the missed expectation is found')

  -- Values, as they are drawn.
  check(wait(function() return drawn(hop):find('min 23 IBU%f[%W]') end), 'bitterness is drawn after the hop', drawn(hop))
  check(drawn(hop):find('Größe 🌾 [7,4 %] at 60 min 23 IBU', 1, true), 'it is drawn at the end of the line', drawn(hop))
  local malt = line_of('3.6 kg')
  check(drawn(malt):find('Marée malt 🌾 93.5 %', 1, true), 'the share is drawn after the malt', drawn(malt))
  local marks = vim.api.nvim_buf_get_extmarks(0, vim.api.nvim_get_namespaces()['nvim.lsp.inlayhint'] or -1,
    { hop - 1, 0 }, { hop - 1, -1 }, { details = true })
  if vim.fn.has('nvim-0.11') == 1 then
    check(#marks == 1 and marks[1][3] == #line(hop), 'its mark is the byte after the last', marks)
  end

  -- Colours and folds of tree-sitter.
  local captures = vim.tbl_map(function(one) return one.capture end, vim.treesitter.get_captures_at_pos(0, malt - 1, 2))
  check(vim.tbl_contains(captures, 'number'), 'the amount is coloured as a number', captures)
  captures = vim.tbl_map(function(one) return one.capture end,
    vim.treesitter.get_captures_at_pos(0, line_of('boil 60') - 1, 0))
  check(vim.tbl_contains(captures, 'keyword'), 'a block is coloured as a keyword', captures)
  for _, kind in ipairs({ 'highlights', 'folds', 'injections', 'locals', 'indents', 'textobjects' }) do
    check(pcall(vim.treesitter.query.get, 'gyle', kind), 'the query is accepted: ' .. kind)
  end
  check(vim.treesitter.foldexpr(line_of('boil 60')):find('^>'), 'a block folds', vim.treesitter.foldexpr(line_of('boil 60')))

  go_to(malt, 'malt 🌾')
  vim.lsp.buf.hover()
  local shown
  wait(function()
    for _, window in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(window).relative ~= '' then
        shown = table.concat(vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(window), 0, -1, false), '\n')
        return shown ~= ''
      end
    end
  end)
  check(shown and shown:find('Marée malt', 1, true), 'hover names the malt', shown)
  vim.api.nvim_win_set_cursor(0, { 1, 0 })
  vim.cmd('silent! fclose!')

  local sound = line_of('[5 %]')
  at = line(sound):find('10 min', 1, true) - 1
  local tokens = wait(function()
    local found = vim.lsp.semantic_tokens.get_at_pos(0, sound - 1, at) or {}
    return #found > 0 and found
  end) or {}
  check(tokens[1] and tokens[1].type == 'number' and tokens[1].start_col == at and tokens[1].end_col == at + 2,
    'the server colours a number where it stands', tokens)

  -- The fix, through the user's own command.
  go_to(hop, '7,4')
  vim.lsp.buf.code_action({ apply = true, filter = function(one) return one.title:find('7.4', 1, true) ~= nil end })
  check(wait(function() return line(hop):find('Größe 🌾 [7.4 %] at 60 min', 1, true) end), 'the fix is applied', line(hop))
  check(wait(function() return not finding('decimal-comma') end), 'its finding is gone')

  local ragged = line_of('at   10 min')
  vim.lsp.buf.format({ async = false })
  check(line(ragged) == '  20 g      Größe 🌾 [5 %] at 10 min', 'the file is lined up', line(ragged))

  -- What is typed reaches the server key by key: the value follows.
  go_to(hop, '25 g')
  keys('2xi50<Esc>')
  check(wait(function() return drawn(hop):find('min 4[67] IBU%f[%W]') end),
    'twice the hops are twice as bitter', drawn(hop))
  vim.api.nvim_win_set_cursor(0, { ragged, 0 })
  keys('o5 g       Größe 🌾 [5;5 %] at 5 min<Esc>')
  check(wait(function()
    for _, one in ipairs(vim.diagnostic.get(0)) do
      if one.lnum == ragged and one.severity == vim.diagnostic.severity.ERROR then
        return true
      end
    end
  end), 'a line typed wrongly is found', vim.diagnostic.get(0))
  keys('dd')

  -- Completion by its own keys: a name of two words, of which the first has letters beyond ASCII.
  vim.api.nvim_win_set_cursor(0, { malt, 0 })
  keys('o1 kg      Marée m<C-x><C-o>')
  check(wait(function() return line(malt + 1) == '  1 kg      Marée malt 🌾' end), 'a name of two words is completed',
    line(malt + 1))
  keys('<C-y><Esc>')
  check(wait(function() return drawn(malt + 1):find('Marée malt 🌾 %d') end), 'its value is drawn', drawn(malt + 1))

  vim.api.nvim_win_set_cursor(0, { line_of('expect'), 0 })
  keys('O<C-u>liq<C-x><C-o>')
  check(wait(function() return vim.fn.search('^liquor$', 'nw') > 0 end), 'the name of a block is completed')
  keys('<C-y>')
  if vim.fn.has('nvim-0.11') == 1 then
    check(wait(function() return vim.fn.search('^  source', 'nw') > 0 end), 'and its snippet put in',
      vim.api.nvim_buf_get_lines(0, 0, -1, false))
  end
  keys('<Esc>')

  hop = line_of('at 60 min')
  go_to(hop, 'Größe')
  vim.lsp.buf.rename('Süße 🍺')
  check(wait(function() return line(hop):find('50 g      Süße 🍺 [7.4 %] at 60 min', 1, true) end), 'a hop is renamed', line(hop))
  local cellar = vim.fn.bufadd('cellar/stores.gyle')
  vim.fn.bufload(cellar)
  local stores = table.concat(vim.api.nvim_buf_get_lines(cellar, 0, -1, false), '\n')
  check(stores:find('hop "Süße 🍺"', 1, true), 'in the cellar as well', stores)

  client:stop()
  check(wait(function() return #vim.lsp.get_clients() == 0 end), 'the server ends')
end

local function main()
  local ok, problem = xpcall(run, debug.traceback)
  if not ok then
    check(false, 'the script runs to its end', problem)
  end
  io.stdout:write(('1..%d\n%d passed, %d failed\n'):format(count, count - failed, failed))
  vim.cmd(failed == 0 and 'qall!' or 'cquit! 1')
end

vim.schedule(coroutine.wrap(main))
