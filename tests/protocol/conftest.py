"""A session of each recorded editor."""

import os

import pytest_lsp
from lsprotocol import types as t
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

REFRESHES = [
    t.WORKSPACE_CODE_LENS_REFRESH,
    t.WORKSPACE_INLAY_HINT_REFRESH,
    t.WORKSPACE_SEMANTIC_TOKENS_REFRESH,
]
EDITORS = {"visual_studio_code": "utf-16", "neovim": "utf-8", "emacs": "utf-32"}


@pytest_lsp.fixture(params=list(EDITORS), config=ClientServerConfig(server_command=[os.environ["GYLE"], "lsp"]))
async def client(request, lsp_client: LanguageClient):
    @lsp_client.feature(t.CLIENT_REGISTER_CAPABILITY)
    def register(_params):
        return None

    for refresh in REFRESHES:
        lsp_client.feature(refresh)(lambda _params=None: None)

    capabilities = client_capabilities(request.param)
    params = t.InitializeParams(capabilities=capabilities, root_uri=None, process_id=os.getpid())
    result = await lsp_client.initialize_session(params)
    lsp_client.encoding = str(getattr(result.capabilities.position_encoding, "value", result.capabilities.position_encoding))
    lsp_client.advertised = result.capabilities
    assert lsp_client.encoding == EDITORS[request.param]
    yield
    await lsp_client.shutdown_session()
