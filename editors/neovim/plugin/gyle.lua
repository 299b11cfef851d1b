-- Starts the server for .gyle files and shows its values: Neovim 0.11 by its own means, 0.10 by hand.
if vim.g.loaded_gyle then
  return
end
vim.g.loaded_gyle = true

local group = vim.api.nvim_create_augroup('gyle', {})

local function warn_if_missing(command)
  if vim.fn.executable(command) == 0 then
    vim.notify_once(
      command .. ' is not on the PATH, so recipes are shown without values and findings. '
        .. 'Install it with `cargo install --path crates/gyle --locked` and start Neovim again.',
      vim.log.levels.WARN
    )
  end
end

vim.api.nvim_create_autocmd('LspAttach', {
  group = group,
  callback = function(event)
    local client = vim.lsp.get_client_by_id(event.data.client_id)
    if not client or client.name ~= 'gyle' then
      return
    end
    if vim.g.gyle_hints ~= false then
      vim.lsp.inlay_hint.enable(true, { bufnr = event.buf })
    end
    if vim.lsp.completion then
      vim.lsp.completion.enable(true, client.id, event.buf, {
        autotrigger = vim.g.gyle_completes == true,
        -- Left to itself Neovim takes the first word of a name only.
        convert = function(item)
          local plain = item.insertTextFormat ~= vim.lsp.protocol.InsertTextFormat.Snippet
          return plain and item.textEdit and { word = item.textEdit.newText } or {}
        end,
      })
    end
  end,
})

-- What a lens speaks of, in the quickfix list.
vim.lsp.commands['gyle.showReferences'] = function(command, context)
  local client = vim.lsp.get_client_by_id(context.client_id)
  local places = vim.lsp.util.locations_to_items(command.arguments[3], client and client.offset_encoding or 'utf-16')
  vim.fn.setqflist({}, ' ', { title = command.title, items = places })
  vim.cmd('copen')
end

-- :GyleResize 50 L brings the recipe at the cursor to that batch.
vim.api.nvim_create_user_command('GyleResize', function(given)
  local client = vim.lsp.get_clients({ bufnr = 0, name = 'gyle' })[1]
  if not client then
    return vim.notify('gyle does not serve this buffer', vim.log.levels.ERROR)
  end
  local at = vim.lsp.util.make_position_params(0, client.offset_encoding)
  local asked = { uri = at.textDocument.uri, position = at.position, batch = given.args }
  local params = { command = 'gyle.resizeTo', arguments = { asked } }
  local function said(failure)
    if failure then
      vim.notify(failure.message, vim.log.levels.ERROR)
    end
  end
  -- A method of the client since 0.11.
  if vim.fn.has('nvim-0.11') == 1 then
    client:request('workspace/executeCommand', params, said)
  else
    client.request('workspace/executeCommand', params, said)
  end
end, { nargs = 1, desc = 'Resize the recipe at the cursor to a batch' })

local function start_0_10(buffer)
  local config = dofile(vim.api.nvim_get_runtime_file('lsp/gyle.lua', false)[1])
  config = vim.tbl_deep_extend('force', config, vim.g.gyle_config or {})
  warn_if_missing(config.cmd[1])
  if vim.fn.executable(config.cmd[1]) == 1 then
    config.name = 'gyle'
    config.root_dir = vim.fs.root(buffer, config.root_markers)
    vim.lsp.start(config, { bufnr = buffer })
  end
end

vim.api.nvim_create_autocmd('FileType', {
  group = group,
  pattern = 'gyle',
  callback = function(event)
    if not vim.lsp.enable then
      start_0_10(event.buf)
    elseif type(vim.lsp.config.gyle.cmd) == 'table' then
      warn_if_missing(vim.lsp.config.gyle.cmd[1])
    end
  end,
})

if vim.lsp.enable then
  vim.lsp.enable('gyle')
end
