#define COBJMACROS
#include <initguid.h>
#include <windows.h>
#include <mmdeviceapi.h>
#include <audioclient.h>
#include <audiopolicy.h>
#include <endpointvolume.h>
#include "endpoints_windows.h"

/* The volume, in dB, of each channel, or of all together where Windows does
   not tell them apart. */
static void read_volume(IAudioEndpointVolume *volume, endpoint *to)
{
	UINT channels = 0;
	DWORD hardware = 0;
	BOOL muted = FALSE;

	if (FAILED(IAudioEndpointVolume_GetChannelCount(volume, &channels)))
		channels = 0;
	for (UINT c = 0; c < channels && c < endpoint_channels; c++)
		if (SUCCEEDED(IAudioEndpointVolume_GetChannelVolumeLevel(volume, c, &to->db[to->channels])))
			to->channels++;
	if (to->channels == 0 && SUCCEEDED(IAudioEndpointVolume_GetMasterVolumeLevel(volume, &to->db[0])))
		to->channels = 1;
	if (SUCCEEDED(IAudioEndpointVolume_GetMute(volume, &muted)))
		to->muted = muted != FALSE;
	if (SUCCEEDED(IAudioEndpointVolume_QueryHardwareSupport(volume, &hardware)))
		to->hardware = (hardware & ENDPOINT_HARDWARE_SUPPORT_VOLUME) != 0;
}

/* The slider that Windows gives this program: the default session, in which
   every stream without a session of its own is. */
static void read_session(IAudioSessionManager *manager, endpoint *to)
{
	ISimpleAudioVolume *volume;
	BOOL muted = FALSE;

	if (FAILED(IAudioSessionManager_GetSimpleAudioVolume(manager, NULL, 0, &volume)))
		return;
	if (FAILED(ISimpleAudioVolume_GetMasterVolume(volume, &to->own)))
		to->own = -1;
	if (SUCCEEDED(ISimpleAudioVolume_GetMute(volume, &muted)))
		to->own_muted = muted != FALSE;
	ISimpleAudioVolume_Release(volume);
}

static int read_endpoint(IMMDevice *device, endpoint *to)
{
	LPWSTR id;
	IAudioEndpointVolume *volume;
	IAudioSessionManager *manager;

	memset(to, 0, sizeof *to);
	to->own = -1;
	if (FAILED(IMMDevice_GetId(device, &id)))
		return 0;
	wcsncpy(to->id, id, sizeof to->id / sizeof *to->id - 1);
	CoTaskMemFree(id);
	if (FAILED(IMMDevice_Activate(device, &IID_IAudioEndpointVolume, CLSCTX_ALL, NULL, (void **)&volume)))
		return 0;
	read_volume(volume, to);
	IAudioEndpointVolume_Release(volume);
	if (SUCCEEDED(IMMDevice_Activate(device, &IID_IAudioSessionManager, CLSCTX_ALL, NULL, (void **)&manager))) {
		read_session(manager, to);
		IAudioSessionManager_Release(manager);
	}
	return 1;
}

static long read_all(IMMDeviceCollection *devices, endpoint *list, int room)
{
	UINT count = 0;
	long told = 0;
	HRESULT hr = IMMDeviceCollection_GetCount(devices, &count);

	for (UINT i = 0; i < count && told < room; i++) {
		IMMDevice *device;
		if (FAILED(IMMDeviceCollection_Item(devices, i, &device)))
			continue;
		told += read_endpoint(device, &list[told]);
		IMMDevice_Release(device);
	}
	return FAILED(hr) ? hr : told;
}

long endpoints_read(int inputs, endpoint *list, int room)
{
	IMMDeviceEnumerator *enumerator;
	IMMDeviceCollection *devices;
	HRESULT begun = CoInitializeEx(NULL, COINIT_MULTITHREADED);
	long result = CoCreateInstance(&CLSID_MMDeviceEnumerator, NULL, CLSCTX_ALL, &IID_IMMDeviceEnumerator, (void **)&enumerator);

	if (SUCCEEDED(result)) {
		result = IMMDeviceEnumerator_EnumAudioEndpoints(enumerator, inputs ? eCapture : eRender, DEVICE_STATE_ACTIVE, &devices);
		if (SUCCEEDED(result)) {
			result = read_all(devices, list, room);
			IMMDeviceCollection_Release(devices);
		}
		IMMDeviceEnumerator_Release(enumerator);
	}
	if (SUCCEEDED(begun))
		CoUninitialize();
	return result;
}
