-- Read by vim.lsp.enable('gyle') of Neovim 0.11, and by plugin/gyle.lua for 0.10.
return {
  cmd = { 'gyle', 'lsp' },
  filetypes = { 'gyle' },
  root_markers = { 'gyle.toml', '.git' },
  -- Kinds of hint that are not wanted: settings = { gyle = { hints = { colour = false } } }
  settings = { gyle = {} },
  -- What plugin/gyle.lua runs itself.
  init_options = { commands = { 'gyle.showReferences' } },
}
